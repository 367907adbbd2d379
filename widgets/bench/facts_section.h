// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "bench/derived_facts.h"
#include "models/item_field.h"

#include <QWidget>

#include <vector>

class QCheckBox;
class QComboBox;
class QGridLayout;
class QLabel;
class QLineEdit;
class QToolButton;

namespace fw {

class AntennaFacts;

/// The fields of items of one kind under a head that folds. Made once for a kind and then filled again and
/// again.
class FactsSection : public QWidget {
    Q_OBJECT
public:
    FactsSection(Kind kind, Workspace& space, const std::optional<MagneticField>& field,
                 QWidget* parent = nullptr);

    /// What is shown; what was being typed is entered first.
    void setItems(const std::vector<ItemId>& items);
    [[nodiscard]] const std::vector<ItemId>& items() const { return m_items; }
    /// Takes values over from plan, drag and study. Fields that are being typed in stay.
    void refresh();

    /// Editor of a field: QLineEdit, QComboBox or QCheckBox; null when there is none. "place": latitude and
    /// longitude.
    [[nodiscard]] QWidget* editor(const QString& key) const;
    /// Of radios and sectors; null for other kinds.
    [[nodiscard]] AntennaFacts* antenna() const { return m_antenna; }
    /// Text of a derived figure by its label.
    [[nodiscard]] QString derivedText(const QString& label) const;
    /// The sentence that refused an entry; empty when there is none.
    [[nodiscard]] QString refusedText(const QString& key) const;
    void setFolded(bool folded);
    [[nodiscard]] bool folded() const;

signals:
    void workingWanted(fw::Working working);

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;
    void changeEvent(QEvent*) override;

private:
    struct FieldRow {
        const ItemField* field = nullptr; ///< null: the place
        QLabel* label = nullptr;
        QWidget* edit = nullptr;
        QLabel* unit = nullptr;
        QLabel* refused = nullptr;
        QVariant shown;
        bool several = false;
    };
    struct DerivedRow {
        DerivedFact fact;
        QLabel *label = nullptr, *value = nullptr;
        QToolButton* open = nullptr;
    };

    void addField(const ItemField* field, int& line);
    void addDerived(DerivedFact fact, int& line);
    QWidget* makeEditor(const ItemField* field);
    void place(FieldRow& row, int& line);
    void refreshHead();
    void refreshField(FieldRow& row, const std::vector<Item>& now);
    void showValue(FieldRow& row);
    void commit(FieldRow& row);
    void commitTyped();
    [[nodiscard]] Result<Edit> editFor(const FieldRow& row, const QString& typed) const;
    [[nodiscard]] Result<Edit> placeEdit(const QString& typed) const;
    [[nodiscard]] QString placeText(const Item& item) const;
    [[nodiscard]] FieldRow* rowOf(QObject* edit);
    void look();

    Kind m_kind;
    Workspace& m_space;
    std::vector<ItemId> m_items;
    std::vector<FieldRow> m_fields;
    std::vector<DerivedRow> m_derived;
    QToolButton* m_head = nullptr;
    QWidget* m_body = nullptr;
    QGridLayout* m_grid = nullptr;
    AntennaFacts* m_antenna = nullptr;
    bool m_committing = false;
};

} // namespace fw
