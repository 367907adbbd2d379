// SPDX-License-Identifier: GPL-3.0-or-later
// How the window of intake looks.
#include "bench/panel_looks.h"
#include "dialogs/intake_window.h"
#include "models/refusal_model.h"
#include "text/figures.h"
#include "theme/window_palette.h"

#include <QApplication>
#include <QCheckBox>
#include <QComboBox>
#include <QEvent>
#include <QFileDialog>
#include <QFileInfo>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QProgressBar>
#include <QPushButton>
#include <QSplitter>
#include <QTabWidget>
#include <QTableView>
#include <QTableWidget>
#include <QVBoxLayout>

namespace fw {

namespace {

QLabel* sentence(QWidget* parent) {
    auto* label = new QLabel(parent);
    label->setWordWrap(true);
    label->setTextFormat(Qt::PlainText);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

QPushButton* button(const QString& text, QWidget* parent) {
    auto* b = new QPushButton(text, parent);
    b->setAutoDefault(false);
    return b;
}

QString wordFor(IntakeRemark::Weight weight) {
    switch (weight) {
    case IntakeRemark::Weight::question:
        return IntakeWindow::tr("Question");
    case IntakeRemark::Weight::look:
        return IntakeWindow::tr("Look at this");
    case IntakeRemark::Weight::note:
        break;
    }
    return IntakeWindow::tr("Note");
}

} // namespace

void IntakeWindow::makeWindow() {
    setWindowTitle(tr("Take files in"));
    auto* page = new QVBoxLayout(this);
    auto* parts = new QSplitter(this);
    parts->setChildrenCollapsible(false);
    parts->addWidget(makeList());
    auto* right = new QWidget(this);
    auto* column = new QVBoxLayout(right);
    column->setContentsMargins(0, 0, 0, 0);
    m_empty = sentence(right);
    m_empty->setText(
        tr("Choose files, or drop them here: tables (CSV, XLSX), GeoPackage, GeoJSON, Shapefile, "
           "FlatGeobuf, KML, GML, extracts of OpenStreetMap. Each is shown first; nothing changes "
           "before you take it in."));
    m_empty->setAlignment(Qt::AlignCenter);
    column->addWidget(m_empty, 1);
    m_body = new QWidget(right);
    auto* body = new QVBoxLayout(m_body);
    body->setContentsMargins(0, 0, 0, 0);
    body->addWidget(makeHead());
    m_state = sentence(m_body);
    m_state->setAccessibleName(tr("What the file holds"));
    QFont bold = m_state->font();
    bold.setBold(true);
    m_state->setFont(bold);
    body->addWidget(m_state);
    m_remarks = new QWidget(m_body);
    m_remarkRows = new QVBoxLayout(m_remarks);
    m_remarkRows->setContentsMargins(0, 0, 0, 0);
    body->addWidget(m_remarks);
    body->addWidget(makeTables(), 1);
    column->addWidget(m_body, 1);
    parts->addWidget(right);
    parts->setStretchFactor(1, 1);
    page->addWidget(parts, 1);
    page->addWidget(makeFoot());
    const int em = fontMetrics().averageCharWidth();
    parts->setSizes({em * 34, em * 96});
    resize(em * 134, fontMetrics().height() * 38);
}

QWidget* IntakeWindow::makeList() {
    auto* box = new QWidget(this);
    auto* column = new QVBoxLayout(box);
    column->setContentsMargins(0, 0, 0, 0);
    m_list = new QListWidget(box);
    m_list->setAccessibleName(tr("Files"));
    m_list->setWordWrap(true);
    m_list->setMinimumWidth(fontMetrics().averageCharWidth() * 26);
    column->addWidget(m_list, 1);
    auto* row = new QHBoxLayout;
    auto* more = button(tr("&Add files ..."), box);
    auto* away = button(tr("&Remove"), box);
    row->addWidget(more);
    row->addWidget(away);
    row->addStretch(1);
    column->addLayout(row);
    connect(more, &QPushButton::clicked, this,
            [this] { addFiles(QFileDialog::getOpenFileNames(this, tr("Files to take in"))); });
    connect(away, &QPushButton::clicked, this, [this] {
        if (current() >= 0) m_files.remove(current());
    });
    connect(m_list, &QListWidget::currentRowChanged, this, [this](int) { currentChanged(); });
    return box;
}

QWidget* IntakeWindow::makeHead() {
    auto* box = new QWidget(m_body);
    auto* form = new QFormLayout(box);
    form->setContentsMargins(0, 0, 0, 0);
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    m_kind = new QComboBox(box);
    for (int k = 0; k < kIntakeKinds; ++k)
        if (const IntakeKindInfo& info = infoOf(static_cast<IntakeKind>(k)); !info.raster) {
            m_kind->addItem(coreText(info.words), k);
            m_kind->setItemData(m_kind->count() - 1, coreText(info.what), Qt::ToolTipRole);
        }
    m_kind->setMaxVisibleItems(24);
    m_kind->setPlaceholderText(tr("choose"));
    m_layer = new QComboBox(box);
    m_layer->setAccessibleName(tr("Layer or sheet"));
    m_layer->setToolTip(tr("Layer or sheet of the file"));
    auto* first = new QHBoxLayout;
    first->addWidget(m_kind, 1);
    first->addWidget(m_layer, 1);
    form->addRow(tr("&Holds"), first);
    static_cast<QLabel*>(form->labelForField(first))->setBuddy(m_kind);
    m_system = new QLineEdit(box);
    m_system->setPlaceholderText(tr("as the file says"));
    m_system->setMaximumWidth(fontMetrics().averageCharWidth() * 18);
    m_systemSays = sentence(box);
    lookSoft(*m_systemSays);
    m_swap = new QCheckBox(tr("Coordinates e&xchanged"), box);
    auto* second = new QHBoxLayout;
    second->addWidget(m_system);
    second->addWidget(m_systemSays, 1);
    second->addWidget(m_swap);
    form->addRow(tr("Reference s&ystem (EPSG)"), second);
    static_cast<QLabel*>(form->labelForField(second))->setBuddy(m_system);
    connect(m_kind, &QComboBox::activated, this, [this](int) { kindChosen(); });
    connect(m_layer, &QComboBox::activated, this, [this](int) {
        ask([this](IntakeRequest& r) {
            r.source.layer = m_layer->currentText().toStdString();
            r.map.clear();
        });
    });
    connect(m_system, &QLineEdit::editingFinished, this, &IntakeWindow::systemEntered);
    connect(m_swap, &QCheckBox::toggled, this,
            [this](bool on) { ask([on](IntakeRequest& r) { r.swapAxes = on; }); });
    return box;
}

QWidget* IntakeWindow::makeTables() {
    auto* tabs = new QTabWidget(m_body);
    m_mapping = new QTableWidget(tabs);
    m_mapping->setAccessibleName(tr("Which column is what"));
    m_mapping->setColumnCount(4);
    m_mapping->setHorizontalHeaderLabels({tr("Field"), tr("Column of the file"), tr("Unit"), tr("Values")});
    m_mapping->setSelectionMode(QAbstractItemView::NoSelection);
    lookLikeTable(*m_mapping);
    m_mapping->verticalHeader()->setDefaultSectionSize(fontMetrics().height() * 2);
    m_mapping->horizontalHeader()->setStretchLastSection(true);
    m_mapping->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    const int em = fontMetrics().averageCharWidth();
    for (const auto& [section, wide] : {std::pair{0, 26}, {1, 28}, {2, 12}})
        m_mapping->setColumnWidth(section, em * wide);
    auto* refused = new QWidget(tabs);
    auto* column = new QVBoxLayout(refused);
    column->setContentsMargins(0, 0, 0, 0);
    m_refused = new QTableView(refused);
    m_refused->setAccessibleName(tr("Refused rows"));
    m_refusals = new RefusalModel(this);
    m_refused->setModel(m_refusals);
    lookLikeTable(*m_refused);
    m_refused->horizontalHeader()->setStretchLastSection(true);
    for (const auto& [section, wide] : {std::pair{0, 8}, {1, 20}, {2, 22}})
        m_refused->setColumnWidth(section, em * wide);
    m_refusedSays = sentence(refused);
    auto* row = new QHBoxLayout;
    m_save = button(tr("Sa&ve refused rows ..."), refused);
    row->addWidget(m_refusedSays, 1);
    row->addWidget(m_save);
    column->addWidget(m_refused, 1);
    column->addLayout(row);
    tabs->addTab(m_mapping, tr("&Columns"));
    tabs->addTab(refused, tr("Refused &rows"));
    connect(m_save, &QPushButton::clicked, this, [this] {
        const QString name =
            QFileDialog::getSaveFileName(this, tr("Save refused rows"), {}, tr("Tables (*.csv)"));
        if (!name.isEmpty()) saveRefused(name);
    });
    return tabs;
}

QWidget* IntakeWindow::makeFoot() {
    auto* box = new QWidget(this);
    auto* row = new QHBoxLayout(box);
    row->setContentsMargins(0, 0, 0, 0);
    m_bar = new QProgressBar(box);
    m_bar->setRange(0, 1000);
    m_bar->setTextVisible(false);
    m_stop = button(tr("S&top"), box);
    m_show = button(tr("Show on the &map"), box);
    m_take = button(tr("&Take in"), box);
    m_take->setDefault(true);
    auto* close = button(tr("C&lose"), box);
    row->addWidget(m_bar, 1);
    row->addWidget(m_stop);
    row->addStretch(1);
    row->addWidget(m_show);
    row->addWidget(m_take);
    row->addWidget(close);
    connect(m_stop, &QPushButton::clicked, &m_files, &IntakeFiles::stop);
    connect(m_show, &QPushButton::clicked, this, [this] { emit showWanted(extent()); });
    connect(m_take, &QPushButton::clicked, this, &IntakeWindow::takeIn);
    connect(close, &QPushButton::clicked, this, &QDialog::close);
    return box;
}

QString IntakeWindow::lineOf(const IntakeFile& f) const {
    const QString name = QFileInfo(f.path).fileName();
    QString state;
    if (f.taken)
        state = tr("taken in");
    else if (!f.trouble.isEmpty())
        state = tr("needs a look");
    else if (!f.preview)
        state = tr("waits");
    else if (f.preview->usable())
        state = tr("ready: %1").arg(coreText(infoOf(f.preview->kind).words));
    else
        state = tr("asks something");
    return name + QLatin1Char('\n') + state;
}

void IntakeWindow::addRemark(const IntakeRemark& remark) {
    auto* row = new QWidget(m_remarks);
    auto* line = new QHBoxLayout(row);
    line->setContentsMargins(0, 0, 0, 0);
    auto* word = new QLabel(wordFor(remark.weight), row);
    word->setMinimumWidth(fontMetrics().averageCharWidth() * 14);
    word->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    if (remark.weight == IntakeRemark::Weight::question) {
        QFont bold = word->font();
        bold.setBold(true);
        word->setFont(bold);
        QPalette p;
        p.setColor(QPalette::WindowText, windowPalette(QApplication::palette()).accentText);
        word->setPalette(p);
    } else {
        lookSoft(*word);
    }
    auto* text = sentence(row);
    text->setText(coreText(remark.text));
    line->addWidget(word);
    line->addWidget(text, 1);
    for (const IntakeChoice& choice : remark.choices) {
        auto* b = button(coreText(choice.words), row);
        b->setObjectName(QStringLiteral("choice-") + QString::fromStdString(choice.words));
        connect(b, &QPushButton::clicked, this,
                [this, choice] { ask([&](IntakeRequest& r) { choose(r, choice); }); });
        line->addWidget(b, 0, Qt::AlignTop);
    }
    m_remarkRows->addWidget(row);
}

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

void IntakeWindow::showMapping() {
    const IntakeFile* f = file();
    m_filling = true;
    m_mapping->setRowCount(0);
    if (f && f->preview) {
        m_mapping->setRowCount(static_cast<int>(f->preview->mapping.size()));
        for (const MappedField& m : f->preview->mapping) showField(*f->preview, m);
    }
    m_filling = false;
}

void IntakeWindow::showField(const IntakePreview& p, const MappedField& m) {
    const IntakeField& field = infoOf(p.kind).fields[static_cast<std::size_t>(m.field)];
    QTableWidgetItem* name = fixedItem(coreText(field.words));
    name->setToolTip(coreText(field.note));
    m_mapping->setItem(m.field, 0, name);
    auto* columns = new QComboBox(m_mapping);
    columns->setAccessibleName(tr("Column for %1").arg(name->text()));
    columns->addItem(field.needed ? tr("(needed)") : tr("(none)"));
    for (const SourceColumn& c : p.head.columns) columns->addItem(QString::fromStdString(c.name));
    columns->setCurrentIndex(m.column + 1);
    m_mapping->setCellWidget(m.field, 1, columns);
    connect(columns, &QComboBox::activated, this,
            [this, at = m.field](int chosen) { columnChosen(at, chosen - 1); });
    const auto units = unitsOf(field);
    if (units.size() > 1 && m.column >= 0) {
        auto* unit = new QComboBox(m_mapping);
        unit->setAccessibleName(tr("Unit of %1").arg(name->text()));
        for (const std::string& u : units) unit->addItem(QString::fromStdString(u));
        unit->setCurrentText(QString::fromStdString(m.unit));
        m_mapping->setCellWidget(m.field, 2, unit);
        connect(unit, &QComboBox::textActivated, this,
                [this, at = m.field](const QString& u) { unitChosen(at, u); });
    } else {
        m_mapping->setItem(m.field, 2, fixedItem(QString::fromStdString(m.unit == "1" ? "" : m.unit)));
    }
    const QString samples =
        m.column < 0 ? QString() : samplesOf(p.head.columns[static_cast<std::size_t>(m.column)]);
    m_mapping->setItem(m.field, 3, fixedItem(samples));
}

void IntakeWindow::changeEvent(QEvent* e) {
    QDialog::changeEvent(e);
    if (e->type() != QEvent::PaletteChange && e->type() != QEvent::ApplicationPaletteChange) return;
    if (!m_systemSays) return;
    lookSoft(*m_systemSays);
    lookLikeTable(*m_refused);
    showRemarks();
}

} // namespace fw
