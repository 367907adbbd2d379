// SPDX-License-Identifier: GPL-3.0-or-later
// How the window of calibration looks.
#include "bench/panel_looks.h"
#include "charts/residual_histogram.h"
#include "dialogs/calibration_window.h"
#include "dialogs/dialog_parts.h"
#include "dialogs/mapping_table.h"
#include "dialogs/remark_list.h"
#include "models/calibration_model.h"
#include "models/refusal_model.h"

#include <QCheckBox>
#include <QComboBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLineEdit>
#include <QProgressBar>
#include <QScrollArea>
#include <QSplitter>
#include <QStyledItemDelegate>
#include <QTabWidget>
#include <QTableView>
#include <QVBoxLayout>

namespace fw {

namespace {

/// Names of cells of one site differ at their end as well as at their beginning: they are cut in their
/// middle.
class NameCells : public QStyledItemDelegate {
public:
    using QStyledItemDelegate::QStyledItemDelegate;

protected:
    void initStyleOption(QStyleOptionViewItem* option, const QModelIndex& index) const override {
        QStyledItemDelegate::initStyleOption(option, index);
        option->textElideMode = Qt::ElideMiddle;
    }
};

QTableView* readingTable(QAbstractItemModel* model, const QString& name, QWidget* parent) {
    auto* t = new QTableView(parent);
    t->setAccessibleName(name);
    t->setModel(model);
    lookLikeTable(*t);
    t->setSelectionMode(QAbstractItemView::SingleSelection);
    t->setEditTriggers(QAbstractItemView::NoEditTriggers);
    t->setTabKeyNavigation(false);
    return t;
}

} // namespace

void CalibrationWindow::makeWindow() {
    setWindowTitle(tr("Calibration against measurements"));
    auto* page = new QVBoxLayout(this);
    page->addWidget(makeHead());
    m_state = sentenceLabel(this);
    m_state->setAccessibleName(tr("What the file holds"));
    m_verdict = verdictLabel(this);
    m_verdict->setAccessibleName(tr("What came of it"));
    m_became = sentenceLabel(this);
    m_became->hide();
    m_remarks = new RemarkList(this);
    m_tabs = new QTabWidget(this);
    m_tabs->addTab(makeCells(), tr("C&ells"));
    m_tabs->addTab(makeAzimuths(), tr("A&zimuths"));
    m_tabs->addTab(makeColumns(), tr("&Columns"));
    m_tabs->addTab(makeRefused(), tr("Refused &rows"));
    for (QWidget* w : {static_cast<QWidget*>(m_state), static_cast<QWidget*>(m_verdict),
                       static_cast<QWidget*>(m_became), static_cast<QWidget*>(m_remarks)})
        page->addWidget(w);
    page->addWidget(m_tabs, 1);
    page->addWidget(makeFoot());
    const int em = fontMetrics().averageCharWidth();
    openAtSize(*this, {em * 172, fontMetrics().height() * 40});
}

QWidget* CalibrationWindow::makeHead() {
    auto* box = new QWidget(this);
    auto* row = new QHBoxLayout(box);
    row->setContentsMargins(0, 0, 0, 0);
    m_choose = plainButton(tr("Choose a &file ..."), box);
    m_name = new QLabel(box);
    m_name->setTextFormat(Qt::PlainText);
    m_name->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
    m_slope = new QCheckBox(tr("&Slope over distance"), box);
    m_slope->setToolTip(tr("Fits how the difference grows with distance; it is told, not applied"));
    m_indoor = new QCheckBox(tr("&Indoor share"), box);
    m_indoor->setToolTip(tr("Fits the share of efficient buildings to points measured indoors"));
    m_again = plainButton(tr("Com&pare again"), box);
    row->addWidget(m_choose);
    row->addWidget(m_name, 1);
    row->addWidget(m_slope);
    row->addWidget(m_indoor);
    row->addWidget(m_again);
    return box;
}

QWidget* CalibrationWindow::makeCells() {
    auto* parts = new QSplitter(Qt::Vertical, m_tabs);
    parts->setChildrenCollapsible(false);
    auto* upper = new QWidget(parts);
    auto* column = new QVBoxLayout(upper);
    column->setContentsMargins(0, 0, 0, 0);
    m_model = new CalibrationModel(m_space.document, this);
    m_cells = readingTable(m_model, tr("Calibration by cell"), upper);
    column->addWidget(m_cells, 1);
    m_rowSays = sentenceLabel(upper);
    m_rowSays->setAccessibleName(tr("Verdict on the chosen row"));
    column->addWidget(m_rowSays);
    auto* row = new QHBoxLayout;
    m_onMap = new QCheckBox(tr("Show the differences on the &map"), upper);
    m_onMap->setChecked(true);
    m_which = new QComboBox(upper);
    m_which->addItems({tr("before"), tr("after")});
    m_which->setAccessibleName(tr("Differences on the map"));
    m_carriers = new QComboBox(upper);
    m_carriers->setAccessibleName(tr("Carrier to look at"));
    m_carriers->setToolTip(tr("Which carrier's cells the list, the map and the histogram show"));
    m_carriers->setSizeAdjustPolicy(QComboBox::AdjustToContents);
    m_carriers->hide(); // until there are several
    m_working = plainButton(tr("&Working ..."), upper);
    row->addWidget(m_onMap);
    row->addWidget(m_which);
    row->addWidget(m_carriers);
    row->addStretch(1);
    row->addWidget(m_working);
    column->addLayout(row);
    m_histogram = new ResidualHistogram(parts);
    parts->addWidget(upper);
    parts->addWidget(m_histogram);
    parts->setStretchFactor(0, 3);
    parts->setStretchFactor(1, 2);
    const int em = fontMetrics().averageCharWidth();
    for (int k = 0; k < CalibrationModel::Verdict; ++k) m_cells->setColumnWidth(k, em * 13);
    m_cells->setColumnWidth(CalibrationModel::Name, em * 34);
    m_cells->setItemDelegateForColumn(CalibrationModel::Name, new NameCells(m_cells));
    for (const int k : {CalibrationModel::Points, CalibrationModel::Squares})
        m_cells->setColumnWidth(k, em * 11);
    return parts;
}

QWidget* CalibrationWindow::makeAzimuths() {
    auto* box = new QWidget(m_tabs);
    auto* column = new QVBoxLayout(box);
    column->setContentsMargins(0, 0, 0, 0);
    m_azimuthModel = new AzimuthModel(m_space.document, this);
    m_azimuths = readingTable(m_azimuthModel, tr("Measured azimuths"), box);
    const int em = fontMetrics().averageCharWidth();
    for (const auto& [section, wide] : {std::pair{0, 34}, {1, 18}, {2, 20}, {3, 14}, {4, 11}})
        m_azimuths->setColumnWidth(section, em * wide);
    m_azimuths->setItemDelegateForColumn(0, new NameCells(m_azimuths));
    // Much may be said; the table keeps its place.
    auto* says = new QScrollArea(box);
    m_swappedSays = sentenceLabel(says);
    m_swappedSays->setAccessibleName(tr("Sectors in each other's place"));
    m_swappedSays->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    says->setWidget(m_swappedSays);
    says->setWidgetResizable(true);
    says->setFrameShape(QFrame::NoFrame);
    for (QWidget* w : {says->viewport(), static_cast<QWidget*>(m_swappedSays)})
        w->setAutoFillBackground(false);
    says->setMaximumHeight(fontMetrics().lineSpacing() * 7);
    says->setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Maximum);
    m_turn = plainButton(tr("&Turn the sector to it"), box);
    m_turn->setToolTip(tr("Puts the measured azimuth into the plan, as one step"));
    auto* row = new QHBoxLayout;
    row->addWidget(says, 1);
    m_azimuthWorking = plainButton(tr("Wor&king ..."), box);
    row->addWidget(m_azimuthWorking, 0, Qt::AlignTop);
    row->addWidget(m_turn, 0, Qt::AlignTop);
    column->addWidget(m_azimuths, 1);
    column->addLayout(row);
    return box;
}

QWidget* CalibrationWindow::makeColumns() {
    auto* box = new QWidget(m_tabs);
    auto* column = new QVBoxLayout(box);
    column->setContentsMargins(0, 0, 0, 0);
    m_mapping = new MappingTable(box);
    auto* row = new QHBoxLayout;
    auto* name = new QLabel(tr("Reference s&ystem (EPSG)"), box);
    m_system = new QLineEdit(box);
    m_system->setMaximumWidth(fontMetrics().averageCharWidth() * 14);
    name->setBuddy(m_system);
    m_systemSays = new QLabel(box);
    m_systemSays->setTextFormat(Qt::PlainText);
    lookSoft(*m_systemSays);
    m_swap = new QCheckBox(tr("Coordinates e&xchanged"), box);
    row->addWidget(name);
    row->addWidget(m_system);
    row->addWidget(m_systemSays, 1);
    row->addWidget(m_swap);
    column->addWidget(m_mapping, 1);
    column->addLayout(row);
    return box;
}

QWidget* CalibrationWindow::makeRefused() {
    auto* box = new QWidget(m_tabs);
    auto* column = new QVBoxLayout(box);
    column->setContentsMargins(0, 0, 0, 0);
    m_refusals = new RefusalModel(this);
    m_refused = readingTable(m_refusals, tr("Refused rows"), box);
    const int em = fontMetrics().averageCharWidth();
    for (const auto& [section, wide] : {std::pair{0, 8}, {1, 20}, {2, 22}})
        m_refused->setColumnWidth(section, em * wide);
    m_refusedSays = sentenceLabel(box);
    column->addWidget(m_refused, 1);
    column->addWidget(m_refusedSays);
    return box;
}

QWidget* CalibrationWindow::makeFoot() {
    m_apply = plainButton(tr("&Apply offsets"), this);
    const DialogFoot foot = dialogFoot(*this, {m_apply});
    m_bar = foot.bar;
    m_stop = foot.stop;
    return foot.box;
}

void CalibrationWindow::connectParts() {
    connect(&m_run, &CalibrationRun::changed, this, &CalibrationWindow::runChanged);
    connect(&m_run, &CalibrationRun::resultChanged, this, &CalibrationWindow::resultChanged);
    connect(&m_space.jobs, &JobBoard::changed, this, [this] {
        if (isVisible() && m_run.running()) showState();
    });
    connect(m_choose, &QPushButton::clicked, this, &CalibrationWindow::askForFile);
    connect(m_slope, &QCheckBox::toggled, this, &CalibrationWindow::readOptions);
    connect(m_indoor, &QCheckBox::toggled, this, &CalibrationWindow::readOptions);
    connect(m_again, &QPushButton::clicked, &m_run, &CalibrationRun::compare);
    connect(m_stop, &QPushButton::clicked, &m_run, &CalibrationRun::stop);
    connect(m_apply, &QPushButton::clicked, this, &CalibrationWindow::apply);
    connect(m_working, &QPushButton::clicked, this, &CalibrationWindow::openWorking);
    connect(m_cells, &QTableView::activated, this, &CalibrationWindow::openWorking);
    connect(m_azimuthWorking, &QPushButton::clicked, this, &CalibrationWindow::openAzimuthWorking);
    connect(m_azimuths, &QTableView::activated, this, &CalibrationWindow::openAzimuthWorking);
    connect(m_cells->selectionModel(), &QItemSelectionModel::currentRowChanged, this,
            &CalibrationWindow::cellChosen);
    connect(m_azimuths->selectionModel(), &QItemSelectionModel::currentRowChanged, this,
            &CalibrationWindow::sectorChosen);
    connect(m_turn, &QPushButton::clicked, this, &CalibrationWindow::turnSector);
    connect(m_remarks, &RemarkList::asked, this, &CalibrationWindow::ask);
    connect(m_mapping, &MappingTable::asked, this, &CalibrationWindow::ask);
    connect(m_system, &QLineEdit::editingFinished, this, &CalibrationWindow::systemEntered);
    connect(m_swap, &QCheckBox::toggled, this,
            [this](bool on) { ask([on](IntakeRequest& r) { r.swapAxes = on; }); });
    connect(m_onMap, &QCheckBox::toggled, this, [this] {
        showState();
        emit marksChanged();
    });
    connect(m_carriers, &QComboBox::currentIndexChanged, this, &CalibrationWindow::carrierChosen);
    connect(m_which, &QComboBox::currentIndexChanged, this, [this] { emit marksChanged(); });
}

} // namespace fw
