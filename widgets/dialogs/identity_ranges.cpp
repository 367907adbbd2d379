// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/identity_ranges.h"

#include "plan/settings.h"

#include <QCheckBox>
#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QSignalBlocker>
#include <QSpinBox>

namespace fw {

IdentityRanges::IdentityRanges(QWidget* parent) : QWidget(parent) {
    auto* grid = new QGridLayout(this);
    grid->setContentsMargins(0, 0, 0, 0);
    const auto head = [&](const QString& text, int column) {
        grid->addWidget(new QLabel(text, this), 0, column);
    };
    head(tr("LTE"), 1);
    head(tr("NR"), 2);
    const auto line = [&](int row, const QString& name, const QString& empty, auto lte, auto nr,
                          const QString& lteName, const QString& nrName) {
        auto* label = new QLabel(name, this);
        QLineEdit* first = addField(lte, lteName, empty);
        label->setBuddy(first);
        grid->addWidget(label, row, 0);
        grid->addWidget(first, row, 1);
        grid->addWidget(addField(nr, nrName, empty), row, 2);
    };
    line(1, tr("&PCI from"), tr("all"), &IdentitySettings::pciLte, &IdentitySettings::pciNr,
         tr("PCI for LTE small cells"), tr("PCI for NR small cells"));
    line(2, tr("&Root sequences from"), tr("all"), &IdentitySettings::rootsLte, &IdentitySettings::rootsNr,
         tr("Root sequences for LTE small cells"), tr("Root sequences for NR small cells"));
    line(3, tr("&Base stations from"), tr("none is given"), &IdentitySettings::enb, &IdentitySettings::gnb,
         tr("eNB numbers for small cells"), tr("gNB numbers for small cells"));
    auto* cells = new QLabel(tr("C&ell numbers from"), this);
    QLineEdit* numbers =
        addField(&IdentitySettings::cells, tr("Cell numbers within a base station"), tr("all"));
    cells->setBuddy(numbers);
    grid->addWidget(cells, 1, 3);
    grid->addWidget(numbers, 1, 4);
    auto* length = new QLabel(tr("&Length of a gNB number"), this);
    m_bits = new QSpinBox(this);
    m_bits->setRange(22, 32); // TS 38.413, 9.3.1.6
    m_bits->setSuffix(tr(" bit"));
    m_bits->setAccessibleName(tr("Length of a gNB number"));
    length->setBuddy(m_bits);
    grid->addWidget(length, 2, 3);
    grid->addWidget(m_bits, 2, 4);
    m_keep = new QCheckBox(tr("&Keep numbers that are in order"), this);
    m_keep->setToolTip(tr("Within the ranges and in no conflict: only the rest get new ones. Off: all do."));
    m_keep->setChecked(true);
    auto* preambles = new QLabel(tr("Prea&mbles of NR carriers"), this);
    m_preambles = new QLineEdit(this);
    m_preambles->setAccessibleName(tr("Preamble formats of NR carriers"));
    m_preambles->setPlaceholderText(tr("short on TDD of 30 kHz and more"));
    m_preambles->setToolTip(tr("NR-ARFCN=format, like 630000=A2, 640000=0; others as the rule profile says"));
    preambles->setBuddy(m_preambles);
    grid->addWidget(preambles, 4, 0);
    grid->addWidget(m_preambles, 4, 1, 1, 2);
    connect(m_preambles, &QLineEdit::editingFinished, this, &IdentityRanges::changed);
    grid->addWidget(m_keep, 3, 3, 1, 2);
    for (const int c : {1, 2, 4}) grid->setColumnStretch(c, 1);
    connect(m_bits, &QSpinBox::editingFinished, this, &IdentityRanges::changed);
    connect(m_keep, &QCheckBox::toggled, this, &IdentityRanges::changed);
}

QLineEdit* IdentityRanges::addField(std::string IdentitySettings::*member, const QString& name,
                                    const QString& empty) {
    auto* edit = new QLineEdit(this);
    edit->setAccessibleName(name);
    edit->setPlaceholderText(empty);
    edit->setToolTip(tr("%1, like 100-119, 140").arg(name));
    edit->setMinimumWidth(fontMetrics().averageCharWidth() * 14);
    connect(edit, &QLineEdit::editingFinished, this, &IdentityRanges::changed);
    m_fields.push_back({member, edit});
    return edit;
}

void IdentityRanges::setSettings(const IdentitySettings& settings) {
    for (const Field& f : m_fields) f.edit->setText(QString::fromStdString(settings.*f.member));
    const QSignalBlocker quiet(m_bits);
    m_bits->setValue(settings.gnbBits);
}

IdentitySettings IdentityRanges::settings() const {
    IdentitySettings out;
    for (const Field& f : m_fields) out.*f.member = f.edit->text().trimmed().toStdString();
    out.gnbBits = m_bits->value();
    return out;
}

bool IdentityRanges::keeps() const { return m_keep->isChecked(); }

std::string IdentityRanges::preambles() const { return m_preambles->text().trimmed().toStdString(); }

} // namespace fw
