// SPDX-License-Identifier: GPL-3.0-or-later
// How the window of intake looks.
#include "bench/panel_looks.h"
#include "dialogs/dialog_parts.h"
#include "dialogs/intake_window.h"
#include "dialogs/mapping_table.h"
#include "dialogs/raster_part.h"
#include "dialogs/rasters_in_use.h"
#include "dialogs/remark_list.h"
#include "models/refusal_model.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
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
#include <QVBoxLayout>

namespace fw {

void IntakeWindow::makeWindow() {
    setWindowTitle(tr("Take files in"));
    auto* page = new QVBoxLayout(this);
    auto* parts = new QSplitter(this);
    parts->setChildrenCollapsible(false);
    parts->addWidget(makeList());
    auto* right = new QWidget(this);
    auto* column = new QVBoxLayout(right);
    column->setContentsMargins(0, 0, 0, 0);
    m_empty = sentenceLabel(right);
    m_empty->setText(
        tr("Choose files, or drop them here: tables (CSV, XLSX), GeoPackage, GeoJSON, Shapefile, "
           "FlatGeobuf, KML, GML, extracts of OpenStreetMap, and rasters of ground heights, demand or land "
           "cover (GeoTIFF, ASCII grid, HGT, DTED). Each is shown first; nothing changes "
           "before you take it in."));
    m_empty->setAlignment(Qt::AlignCenter);
    column->addWidget(m_empty, 1);
    m_body = new QWidget(right);
    auto* body = new QVBoxLayout(m_body);
    body->setContentsMargins(0, 0, 0, 0);
    m_head = makeHead();
    body->addWidget(m_head);
    m_raster = new RasterPart(m_space, m_body);
    connect(m_raster, &RasterPart::asked, this,
            [this](const RasterRequest& request) { m_files.changeGround(current(), request); });
    connect(m_raster, &RasterPart::saveWanted, this, &IntakeWindow::saveWanted);
    body->addWidget(m_raster);
    m_state = verdictLabel(m_body);
    m_state->setAccessibleName(tr("What the file holds"));
    body->addWidget(m_state);
    m_remarks = new RemarkList(m_body);
    connect(m_remarks, &RemarkList::asked, this, &IntakeWindow::ask);
    body->addWidget(m_remarks);
    m_tables = makeTables();
    body->addWidget(m_tables, 1000);
    body->addStretch(1); // where there are no tables
    // Many remarks, or large letters on a small screen, are more than one view holds.
    auto* tall = new TallPage(right);
    tall->setWidget(m_body);
    m_page = tall;
    column->addWidget(m_page, 1);
    parts->addWidget(right);
    parts->setStretchFactor(1, 1);
    page->addWidget(parts, 1);
    page->addWidget(makeFoot());
    const int em = fontMetrics().averageCharWidth();
    parts->setSizes({em * 34, em * 96});
    openAtSize(*this, QSize(em * 134, fontMetrics().height() * 38));
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
    auto* more = plainButton(tr("&Add files ..."), box);
    auto* away = plainButton(tr("&Remove"), box);
    row->addWidget(more);
    row->addWidget(away);
    row->addStretch(1);
    column->addLayout(row);
    column->addWidget(new RastersInUse(m_space, box));
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
    m_systemSays = sentenceLabel(box);
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
    m_mapping = new MappingTable(tabs);
    connect(m_mapping, &MappingTable::asked, this, &IntakeWindow::ask);
    auto* refused = new QWidget(tabs);
    auto* column = new QVBoxLayout(refused);
    column->setContentsMargins(0, 0, 0, 0);
    m_refused = new QTableView(refused);
    m_refused->setAccessibleName(tr("Refused rows"));
    m_refusals = new RefusalModel(this);
    m_refused->setModel(m_refusals);
    lookLikeTable(*m_refused);
    m_refused->horizontalHeader()->setStretchLastSection(true);
    const int em = fontMetrics().averageCharWidth();
    for (const auto& [section, wide] : {std::pair{0, 8}, {1, 20}, {2, 22}})
        m_refused->setColumnWidth(section, em * wide);
    m_refusedSays = sentenceLabel(refused);
    auto* row = new QHBoxLayout;
    m_save = plainButton(tr("Sa&ve refused rows ..."), refused);
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
    m_show = plainButton(tr("Show on the &map"), this);
    m_take = plainButton(tr("&Take in"), this);
    m_take->setDefault(true);
    const DialogFoot foot = dialogFoot(*this, {m_show, m_take});
    m_bar = foot.bar;
    m_stop = foot.stop;
    connect(m_stop, &QPushButton::clicked, &m_files, &IntakeFiles::stop);
    connect(m_show, &QPushButton::clicked, this, [this] { emit showWanted(extent()); });
    connect(m_take, &QPushButton::clicked, this, &IntakeWindow::takeIn);
    return foot.box;
}

QString IntakeWindow::lineOf(const IntakeFile& f) const {
    const QString name = QFileInfo(f.path).fileName();
    QString state;
    if (f.taken)
        state = tr("taken in");
    else if (!f.trouble.isEmpty())
        state = tr("needs a look");
    else if (f.taking)
        state = tr("is taken in ...");
    else if (f.raster && f.ground)
        state = f.ground->usable() ? tr("ready: %1").arg(coreText(infoOf(kindOf(f.ground->use)).words))
                                   : tr("asks something");
    else if (!f.preview)
        state = tr("waits");
    else if (f.preview->usable())
        state = tr("ready: %1").arg(coreText(infoOf(f.preview->kind).words));
    else
        state = tr("asks something");
    return name + QLatin1Char('\n') + state;
}

} // namespace fw
