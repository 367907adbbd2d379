// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

#include <string>
#include <vector>

class QCheckBox;
class QLineEdit;
class QSpinBox;

namespace fw {

struct IdentitySettings;

/// From which numbers small cells are given theirs, as the user writes ranges ("100-119, 140"), and whether
/// what they have is kept.
class IdentityRanges : public QWidget {
    Q_OBJECT
public:
    explicit IdentityRanges(QWidget* parent = nullptr);

    void setSettings(const IdentitySettings& settings);
    [[nodiscard]] IdentitySettings settings() const;
    [[nodiscard]] bool keeps() const;
    [[nodiscard]] std::string preambles() const; ///< as preamblesOf() reads it

signals:
    void changed(); ///< entered, not while typing

private:
    struct Field {
        std::string IdentitySettings::*member;
        QLineEdit* edit;
    };
    QLineEdit* addField(std::string IdentitySettings::*member, const QString& name, const QString& empty);
    std::vector<Field> m_fields;
    QSpinBox* m_bits = nullptr;
    QCheckBox* m_keep = nullptr;
    QLineEdit* m_preambles = nullptr;
};

} // namespace fw
