// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/shown_card.h"

#include "canvas/legend.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
#include <QEvent>
#include <QFormLayout>
#include <QGridLayout>
#include <QPainter>
#include <QScrollArea>
#include <QScrollBar>
#include <QSignalBlocker>
#include <QSlider>
#include <QSpinBox>
#include <QTimer>
#include <QToolButton>
#include <QVBoxLayout>

namespace fw {

namespace {

constexpr int kPlansOwn = -151; // below any level: the plan's own threshold

// As large as what is in it, and scrolled where the map is lower than that.
class Body : public QScrollArea {
public:
    explicit Body(QWidget* parent) : QScrollArea(parent) {
        setFrameShape(QFrame::NoFrame);
        setWidgetResizable(true);
        setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
        setFocusPolicy(Qt::NoFocus);
        viewport()->setAutoFillBackground(false);
    }
    [[nodiscard]] QSize sizeHint() const override {
        return widget() ? widget()->sizeHint() : QScrollArea::sizeHint();
    }
    [[nodiscard]] QSize minimumSizeHint() const override { return {sizeHint().width(), 0}; }

protected:
    bool eventFilter(QObject* watched, QEvent* e) override {
        if (watched == widget() && e->type() == QEvent::LayoutRequest) updateGeometry();
        return QScrollArea::eventFilter(watched, e);
    }
};

void dress(QToolButton* fold) {
    fold->setAutoRaise(true);
    fold->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
    fold->setFocusPolicy(Qt::TabFocus);
    fold->setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Fixed);
}

QString carrierName(const Layer& l) {
    const QString technology = l.technology == Technology::nr ? QStringLiteral("NR") : QStringLiteral("LTE");
    //: %1 LTE or NR, %2 a frequency with its unit
    return ShownCard::tr("%1, %2").arg(technology,
                                       figure(inMegahertz(l.frequency), QStringLiteral("MHz"), 1));
}

} // namespace

QString ShownCard::layerName(MapLayer layer) {
    switch (layer) {
    case MapLayer::hillshade:
        return tr("Hill shading");
    case MapLayer::buildings:
        return tr("Buildings");
    case MapLayer::streets:
        return tr("Streets");
    case MapLayer::trees:
        return tr("Trees");
    case MapLayer::lines:
        return tr("Overhead lines");
    case MapLayer::areas:
        return tr("Congestion areas");
    case MapLayer::fringes:
        return tr("Fringes");
    case MapLayer::macros:
        return tr("Macro sites");
    case MapLayer::smallCells:
        return tr("Small cells");
    case MapLayer::beams:
        return tr("Beams");
    case MapLayer::footprint:
        return tr("Footprint");
    case MapLayer::aimRose:
        return tr("Aim rose");
    case MapLayer::findings:
        return tr("Findings");
    case MapLayer::names:
        return tr("Names");
    case MapLayer::owners:
        return tr("Owners' answers");
    case MapLayer::count:
        break;
    }
    return {};
}

ShownCard::ShownCard(Workspace& space, GroundTintSource& tint, QWidget* parent)
    : QFrame(parent), m_space(space), m_fold(new QToolButton(this)), m_body(new Body(this)) {
    setAccessibleName(tr("What the map shows"));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(8, 5, 8, 6);
    column->setSpacing(4);
    dress(m_fold);
    column->addWidget(m_fold);
    column->addWidget(m_body);
    auto* content = new QWidget;
    auto* rows = new QVBoxLayout(content);
    rows->setContentsMargins(0, 0, 0, 0);
    rows->setSpacing(6);
    buildGround(content);
    rows->addWidget(new TintLegend(tint, content));
    m_foldLayers = new QToolButton(content);
    dress(m_foldLayers);
    rows->addWidget(m_foldLayers);
    m_layerPart = new QWidget(content);
    auto* layers = new QVBoxLayout(m_layerPart);
    layers->setContentsMargins(0, 0, 0, 0);
    layers->setSpacing(8);
    buildLayers(m_layerPart);
    layers->addWidget(new SignLegend(m_layerPart));
    rows->addWidget(m_layerPart);
    m_layerPart->setVisible(m_layersOpen);
    static_cast<Body*>(m_body)->setWidget(content);
    content->setAutoFillBackground(false); // the scroll area switches it on

    connect(m_fold, &QToolButton::clicked, this, [this] { setFolded(m_open); });
    connect(m_foldLayers, &QToolButton::clicked, this, [this] { setLayersFolded(m_layersOpen); });
    connect(&space.shown, &Shown::changed, this, &ShownCard::readShown);
    connect(&space.live, &LiveStudy::shownChanged, this, &ShownCard::readCarriers);
    readCarriers();
    readShown();
}

void ShownCard::buildGround(QWidget* body) {
    auto* form = m_groundForm = new QFormLayout;
    form->setSpacing(4);
    form->setContentsMargins(0, 0, 0, 0);
    m_tint = new QComboBox(body);
    for (int t = 0; t < static_cast<int>(GroundTint::count); ++t)
        m_tint->addItem(tintName(static_cast<GroundTint>(t)), t);
    m_carrier = new QComboBox(body);
    m_carrier->addItem(tr("All carriers"), -1);
    form->addRow(tr("Ground"), m_tint);
    form->addRow(tr("Carrier"), m_carrier);
    static_cast<QVBoxLayout*>(body->layout())->addLayout(form);
    connect(m_tint, &QComboBox::activated, this,
            [this] { m_space.shown.setTint(static_cast<GroundTint>(m_tint->currentData().toInt())); });
    connect(m_carrier, &QComboBox::activated, this,
            [this] { m_space.shown.setCarrier(m_carrier->currentData().toInt()); });
    buildMoments(body);
    buildBasemap(body);
}

void ShownCard::buildMoments(QWidget* body) {
    m_moment = new QComboBox(body);
    for (int k = 0; k < static_cast<int>(TintMoment::count); ++k)
        m_moment->addItem(momentName(static_cast<TintMoment>(k)), k);
    m_moment->setToolTip(tr("Before: macros alone. After: with the chosen small cells."));
    m_storey = new QComboBox(body);
    for (const Storey s : {Storey::all, Storey::lowest, Storey::middle, Storey::top})
        m_storey->addItem(storeyName(s), static_cast<int>(s));
    m_indoorFrom = new QSpinBox(body);
    m_indoorFrom->setRange(kPlansOwn, -60);
    m_indoorFrom->setSuffix(QStringLiteral(" dBm"));
    m_indoorFrom->setSpecialValueText(tr("As the plan serves"));
    m_indoorFrom->setKeyboardTracking(false);
    m_indoorFrom->setToolTip(tr("RSRP from which a sample counts as covered"));
    m_swipe = new QCheckBox(tr("Before beside after"), body);
    m_swipe->setToolTip(tr("A divider on the map: before on its left, after on its right"));
    m_groundForm->addRow(tr("When"), m_moment);
    m_groundForm->addRow(tr("Storey"), m_storey);
    m_groundForm->addRow(tr("From"), m_indoorFrom);
    m_groundForm->addRow(QString(), m_swipe);
    connect(m_moment, &QComboBox::activated, this,
            [this] { m_space.shown.setMoment(static_cast<TintMoment>(m_moment->currentData().toInt())); });
    connect(m_storey, &QComboBox::activated, this,
            [this] { m_space.shown.setStorey(static_cast<Storey>(m_storey->currentData().toInt())); });
    connect(m_indoorFrom, &QSpinBox::valueChanged, this, [this](int dbm) {
        m_space.shown.setIndoorFromDbm(dbm == kPlansOwn ? std::nullopt : std::optional(dbm));
    });
    connect(m_swipe, &QCheckBox::toggled, this, [this](bool on) { m_space.shown.setSwipe(on); });
}

void ShownCard::buildBasemap(QWidget* body) {
    m_basemap = new QCheckBox(tr("Background"), body);
    m_basemap->setAccessibleName(tr("Background map"));
    m_basemapRow = new QWidget(body);
    auto* row = new QHBoxLayout(m_basemapRow);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(4);
    m_strength = new QSlider(Qt::Horizontal, m_basemapRow);
    m_strength->setRange(BasemapChoice::kLeastStrength, 100);
    m_strength->setPageStep(10);
    m_strength->setAccessibleName(tr("Strength of the background map"));
    m_strength->setToolTip(tr("How strongly the background map shows"));
    m_otherBasemap = new QToolButton(m_basemapRow);
    m_otherBasemap->setText(tr("..."));
    m_otherBasemap->setAutoRaise(true);
    m_otherBasemap->setFocusPolicy(Qt::TabFocus);
    m_otherBasemap->setAccessibleName(tr("Choose another background map"));
    m_otherBasemap->setToolTip(m_otherBasemap->accessibleName());
    row->addWidget(m_strength, 1);
    row->addWidget(m_otherBasemap);
    m_groundForm->addRow(m_basemap, m_basemapRow);
    // Tiles are drawn anew for each step: not for every pixel that a hand passes.
    auto* soon = new QTimer(this);
    soon->setSingleShot(true);
    soon->setInterval(60);
    connect(soon, &QTimer::timeout, this, [this] { m_space.basemap.setStrength(m_strength->value()); });
    connect(m_strength, &QSlider::valueChanged, soon, [soon] {
        if (!soon->isActive()) soon->start();
    });
    connect(m_basemap, &QCheckBox::toggled, this, [this](bool on) { m_space.basemap.setOn(on); });
    connect(m_otherBasemap, &QToolButton::clicked, this, &ShownCard::basemapWanted);
    connect(&m_space.basemap, &Basemap::choiceChanged, this, &ShownCard::readBasemap);
    readBasemap();
}

void ShownCard::readBasemap() {
    const BasemapChoice& c = m_space.basemap.choice();
    m_groundForm->setRowVisible(m_basemapRow, c.kind != BasemapChoice::Kind::none);
    const QSignalBlocker quietBox(m_basemap), quietSlider(m_strength);
    m_basemap->setChecked(c.on);
    m_basemap->setToolTip(c.attribution);
    if (!m_strength->isSliderDown()) m_strength->setValue(c.strength);
    m_strength->setEnabled(c.on);
}

void ShownCard::buildLayers(QWidget* body) {
    auto* grid = new QGridLayout;
    grid->setSpacing(2);
    grid->setHorizontalSpacing(12);
    grid->setContentsMargins(0, 0, 0, 0);
    constexpr int count = static_cast<int>(MapLayer::count), rows = (count + 1) / 2;
    for (int k = 0; k < count; ++k) {
        const auto layer = static_cast<MapLayer>(k);
        auto* box = new QCheckBox(layerName(layer), body);
        grid->addWidget(box, k % rows, k / rows);
        m_layers[static_cast<std::size_t>(k)] = box;
        connect(box, &QCheckBox::toggled, this, [this, layer](bool on) { m_space.shown.setOn(layer, on); });
    }
    static_cast<QVBoxLayout*>(body->layout())->addLayout(grid);
}

void ShownCard::setFolded(bool folded) {
    if (folded == this->folded()) return;
    m_open = !folded;
    m_body->setVisible(m_open);
    nameFolds();
    emit foldedChanged(folded);
}

void ShownCard::setLayersFolded(bool folded) {
    if (folded == layersFolded()) return;
    m_layersOpen = !folded;
    m_layerPart->setVisible(m_layersOpen);
    nameFolds();
}

void ShownCard::readCarriers() {
    QStringList names;
    if (const auto& study = m_space.live.study())
        for (const Layer& l : study->layers()) names << carrierName(l);
    if (names == m_carriers) return;
    m_carriers = names;
    const QSignalBlocker quiet(m_carrier);
    while (m_carrier->count() > 1) m_carrier->removeItem(1);
    for (int k = 0; k < names.size(); ++k) m_carrier->addItem(names[k], k);
    readShown();
}

void ShownCard::readShown() {
    const Shown& shown = m_space.shown;
    for (std::size_t k = 0; k < m_layers.size(); ++k) {
        const QSignalBlocker quiet(m_layers[k]);
        m_layers[k]->setChecked(shown.on(static_cast<MapLayer>(k)));
    }
    const QSignalBlocker quietTint(m_tint), quietCarrier(m_carrier);
    m_tint->setCurrentIndex(m_tint->findData(static_cast<int>(shown.tint())));
    m_carrier->setCurrentIndex(std::max(0, m_carrier->findData(shown.carrier())));
    m_carrier->setEnabled(shown.tint() != GroundTint::none);
    readMoments();
    nameFolds();
}

void ShownCard::readMoments() {
    const Shown& shown = m_space.shown;
    const QSignalBlocker quiet[] = {QSignalBlocker(m_moment), QSignalBlocker(m_storey),
                                    QSignalBlocker(m_indoorFrom), QSignalBlocker(m_swipe)};
    const bool moments = hasMoments(shown.tint()), indoor = shown.tint() == GroundTint::indoor;
    m_moment->setCurrentIndex(m_moment->findData(static_cast<int>(shown.moment())));
    m_storey->setCurrentIndex(m_storey->findData(static_cast<int>(shown.storey())));
    m_indoorFrom->setValue(shown.indoorFromDbm().value_or(kPlansOwn));
    m_swipe->setChecked(shown.swipe());
    m_groundForm->setRowVisible(m_moment, moments && !shown.swipe()); // both are on the map then
    m_groundForm->setRowVisible(m_swipe, moments);
    m_groundForm->setRowVisible(m_storey, indoor);
    m_groundForm->setRowVisible(m_indoorFrom, indoor);
}

void ShownCard::nameFolds() {
    const auto closed = layoutDirection() == Qt::RightToLeft ? Qt::LeftArrow : Qt::RightArrow;
    m_fold->setArrowType(m_open ? Qt::DownArrow : closed);
    const QString tint = tintName(m_space.shown.tint());
    //: %1 what colours the ground, %2 a carrier or "All carriers"
    QString brief =
        m_space.shown.tint() == GroundTint::none ? tint : tr("%1; %2").arg(tint, m_carrier->currentText());
    if (hasMoments(m_space.shown.tint()) && m_space.shown.moment() != TintMoment::before)
        //: %1 what colours the ground, %2 "After" or "Change"
        brief = tr("%1; %2", "tint, moment").arg(brief, momentName(m_space.shown.moment()).toLower());
    m_fold->setText(m_open ? tr("Shown") : tr("Shown: %1").arg(brief));
    m_fold->setAccessibleName(m_open ? tr("Shown, fold") : tr("Shown, unfold"));
    m_fold->setToolTip(m_open ? tr("Fold to one line") : tr("Show layers and legend"));
    int off = 0;
    for (std::size_t k = 0; k < m_layers.size(); ++k) off += !m_space.shown.on(static_cast<MapLayer>(k));
    m_foldLayers->setArrowType(m_layersOpen ? Qt::DownArrow : closed);
    m_foldLayers->setText(off ? tr("Layers and signs (%n off)", nullptr, off) : tr("Layers and signs"));
    m_foldLayers->setAccessibleName(m_layersOpen ? tr("Layers and signs, fold")
                                                 : tr("Layers and signs, unfold"));
}

void ShownCard::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(c.line);
    p.setBrush(c.raised);
    p.drawRoundedRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5), 5, 5);
}

} // namespace fw
