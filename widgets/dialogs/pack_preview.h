// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "dialogs/pack_sheets.h"
#include "document/workspace.h"

#include <QDialog>
#include <QMap>
#include <QPointer>
#include <QTimer>

#include <atomic>

class QCheckBox;
class QComboBox;
class QDateEdit;
class QLabel;
class QLineEdit;
class QProgressBar;
class QPushButton;
class QToolButton;

namespace fw {

class PackSites;
class PageColumn;

/// The pack before it is written: choice on the left, the pages as they will print on the right. Follows the
/// plan while it is open; what is written is what is shown. Not modal.
class PackPreview : public QDialog {
    Q_OBJECT
public:
    /// @param field  may be null: then a sentence says that sheets cannot be made without it. Copied.
    PackPreview(Workspace& space, const MagneticField* field, QWidget* parent = nullptr);
    ~PackPreview() override;

    /// Ticks the sheets of these mounts and of no others; those without a chosen small cell are passed over.
    void setSites(const std::vector<ItemId>& sites);

    /// The sheets in view; null while there are none.
    [[nodiscard]] const std::shared_ptr<const PackSheets>& sheets() const { return m_sheets; }
    /// The sheets in view are those of the plan and the choice as they are.
    [[nodiscard]] bool current() const;
    [[nodiscard]] QString folder() const;
    void setFolder(const QString& folder);
    /// Writes what is in view; stops a writing that goes on.
    void write();

signals:
    void written(const QString& folder);

protected:
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;
    void changeEvent(QEvent*) override;

private:
    enum class Tone { soft, plain, trouble };

    void makeWindow();
    QWidget* makeChoice();
    QWidget* makeOptions();
    QWidget* makePages();
    void connectAll();
    void planReplaced();
    void suggestFolder();
    void showPlan();
    void choiceChanged();
    [[nodiscard]] PackChoice choice() const;
    void refresh();
    bool refreshEmpty();
    void buildContent();
    void contentBuilt(Outcome outcome, const Result<std::shared_ptr<const PackContent>>& result,
                      const std::shared_ptr<const Study>& study);
    void drawSheets();
    void sheetsDrawn(Outcome outcome, const Result<std::shared_ptr<const PackSheets>>& result);
    void writeEnded(Outcome outcome, const Result<PackFiles>& result, const QString& where);
    void stop();
    void say(QLabel* label, const QString& text, Tone tone);
    void sayState(const QString& text, Tone tone = Tone::soft);
    void sayWriting(const QString& text, Tone tone = Tone::soft);
    void sayFolder();
    void showProgress();
    void showPlace();
    void dropSheets(const QString& why);
    void linkClicked(const QString& target);
    void chooseFolder();
    static Job followed(const Job& job, const std::shared_ptr<std::atomic<double>>& share);

    Workspace& m_space;
    std::optional<MagneticField> m_field;
    PackSites* m_sites = nullptr;
    QLabel *m_held = nullptr, *m_state = nullptr, *m_place = nullptr, *m_says = nullptr,
           *m_folderSays = nullptr;
    QComboBox* m_paper = nullptr;
    QLineEdit *m_number = nullptr, *m_folder = nullptr;
    QDateEdit* m_date = nullptr;
    QCheckBox *m_hillshade = nullptr, *m_workings = nullptr;
    QPushButton *m_write = nullptr, *m_cancel = nullptr;
    QProgressBar* m_bar = nullptr;
    QToolButton *m_percent = nullptr, *m_fit = nullptr;
    PageColumn* m_pages = nullptr;

    QTimer m_soon;
    std::shared_ptr<const PackContent> m_content;
    std::shared_ptr<const Study> m_contentOf; ///< what m_content tells of
    std::shared_ptr<const Study> m_building;  ///< what is being described
    std::optional<PackChoice> m_drawing;
    std::shared_ptr<const PackSheets> m_sheets;
    std::shared_ptr<std::atomic<double>> m_share = std::make_shared<std::atomic<double>>(0);
    bool m_writing = false;
    bool m_stopped = false, m_failed = false; ///< nothing is tried again by itself
    QMap<QLabel*, Tone> m_tones;
};

} // namespace fw
