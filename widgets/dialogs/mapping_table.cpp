// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/mapping_table.h"

#include "bench/panel_looks.h"
#include "text/figures.h"

#include <QComboBox>
#include <QHeaderView>

namespace fw {

namespace {

QTableWidgetItem* fixedItem(const QString& text) {
    auto* item = new QTableWidgetItem(text);
    item->setFlags(Qt::ItemIsEnabled);
    return item;
}

QString samplesOf(const SourceColumn& column) {
    QStringList samples;
    for (const std::string& s : column.samples) samples << QString::fromStdString(s);
    return samples.join(QStringLiteral("  ·  "));
}

} // namespace

MappingTable::MappingTable(QWidget* parent) : QTableWidget(parent) {
    setAccessibleName(tr("Which column is what"));
    setColumnCount(4);
    setHorizontalHeaderLabels({tr("Field"), tr("Column of the file"), tr("Unit"), tr("Values")});
    setSelectionMode(QAbstractItemView::NoSelection);
    lookLikeTable(*this);
    verticalHeader()->setDefaultSectionSize(fontMetrics().height() * 2);
    horizontalHeader()->setStretchLastSection(true);
    horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    const int em = fontMetrics().averageCharWidth();
    for (const auto& [section, wide] : {std::pair{0, 26}, {1, 28}, {2, 12}})
        setColumnWidth(section, em * wide);
}

void MappingTable::setPreview(std::shared_ptr<const IntakePreview> preview) {
    m_preview = std::move(preview);
    setRowCount(0);
    if (!m_preview) return;
    setRowCount(static_cast<int>(m_preview->mapping.size()));
    for (const MappedField& m : m_preview->mapping) showField(m);
}

void MappingTable::showField(const MappedField& m) {
    const IntakePreview& p = *m_preview;
    const IntakeField& field = infoOf(p.kind).fields[static_cast<std::size_t>(m.field)];
    QTableWidgetItem* name = fixedItem(coreText(field.words));
    name->setToolTip(coreText(field.note));
    setItem(m.field, 0, name);
    auto* columns = new QComboBox(this);
    columns->setAccessibleName(tr("Column for %1").arg(name->text()));
    columns->addItem(field.needed ? tr("(needed)") : tr("(none)"));
    for (const SourceColumn& c : p.head.columns) columns->addItem(QString::fromStdString(c.name));
    columns->setCurrentIndex(m.column + 1);
    setCellWidget(m.field, 1, columns);
    connect(columns, &QComboBox::activated, this,
            [this, at = m.field](int chosen) { columnChosen(at, chosen - 1); });
    const auto units = unitsOf(field);
    if (units.size() > 1 && m.column >= 0) {
        auto* unit = new QComboBox(this);
        unit->setAccessibleName(tr("Unit of %1").arg(name->text()));
        for (const std::string& u : units) unit->addItem(QString::fromStdString(u));
        unit->setCurrentText(QString::fromStdString(m.unit));
        setCellWidget(m.field, 2, unit);
        connect(unit, &QComboBox::textActivated, this,
                [this, at = m.field](const QString& u) { unitChosen(at, u); });
    } else {
        setItem(m.field, 2, fixedItem(QString::fromStdString(m.unit == "1" ? "" : m.unit)));
    }
    const QString samples =
        m.column < 0 ? QString() : samplesOf(p.head.columns[static_cast<std::size_t>(m.column)]);
    setItem(m.field, 3, fixedItem(samples));
}

void MappingTable::columnChosen(int field, int column) {
    if (!m_preview) return;
    const char* name = infoOf(m_preview->kind).fields[static_cast<std::size_t>(field)].name;
    const std::string chosen =
        column < 0 ? std::string() : m_preview->head.columns[static_cast<std::size_t>(column)].name;
    emit asked([name, chosen](IntakeRequest& r) { r.map[name] = {chosen, {}}; });
}

void MappingTable::unitChosen(int field, const QString& unit) {
    if (!m_preview) return;
    const char* name = infoOf(m_preview->kind).fields[static_cast<std::size_t>(field)].name;
    emit asked([name, to = unit.toStdString()](IntakeRequest& r) { r.map[name].unit = to; });
}

} // namespace fw
