// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/map_view.h"

#include "canvas/map_view_impl.h"
#include "canvas/tools/select_tool.h"

#include <QFontInfo>
#include <QPaintEvent>

#include <algorithm>
#include <array>

namespace fw {

namespace {

Box boundsOf(const Item& item) {
    return std::visit(
        [](const auto& x) -> Box {
            using T = std::decay_t<decltype(x)>;
            if constexpr (std::is_same_v<T, Building>)
                return fw::boundsOf(x.footprint);
            else if constexpr (std::is_same_v<T, Tree> || std::is_same_v<T, Street> ||
                               std::is_same_v<T, OverheadLine>)
                return fw::boundsOf(x);
            else
                return {};
        },
        item);
}

// Beyond so many boxes all tiles are drawn anew: it costs less than to ask each which of them it meets.
constexpr std::size_t kMostBoxes = 512;

/// Ground on which tiles of the two plans may differ; more than kMostBoxes say no more than their number.
std::vector<Box> changedGround(const Plan& before, const Plan& after, const PlanDiff& diff) {
    std::vector<Box> out;
    for (const Difference& d : diff.items) {
        if (d.kind != Kind::building && d.kind != Kind::tree && d.kind != Kind::street &&
            d.kind != Kind::overheadLine)
            continue;
        if (out.size() > kMostBoxes) break;
        for (const Plan* plan : {&before, &after})
            if (const auto item = plan->item(d.id)) out.push_back(boundsOf(*item));
    }
    return out;
}

std::shared_ptr<const TintPainter> painterOf(const std::shared_ptr<const TintPicture>& picture,
                                             const WindowPalette& colors) {
    if (!picture) return nullptr;
    return std::make_shared<const TintPainter>(
        [picture, colors](QPainter& p, const Box& plane, double perPixel) {
            paintTint(p, plane, perPixel, *picture, colors);
        });
}

} // namespace

MapView::Impl::Impl(MapView& view)
    : map(view), tiles([this] { map.update(); }), fringes(view.m_space), footprint(view.m_space),
      rose(view.m_space), tints(view.m_space) {
    index = SceneryIndex::make(drawnPlan, nullptr);
    zoomRest.setSingleShot(true);
    zoomRest.setInterval(70);
    QObject::connect(&zoomRest, &QTimer::timeout, &map, [this] { requestTiles(); });
}

std::shared_ptr<const TileScene> MapView::Impl::scene() {
    auto s = std::make_shared<TileScene>();
    const Shown& shown = map.m_space.shown;
    s->plan = drawnPlan;
    s->index = index;
    s->ground = ground;
    s->colors = windowPalette(map.palette());
    s->basemap = map.m_space.basemap.painter();
    s->tint = painterOf(tints.picture(), s->colors);
    s->tintOnBuildings = tints.picture() && tints.picture()->tint == GroundTint::indoor;
    s->font = map.font();
    s->font.setPixelSize(std::max(8, QFontInfo(map.font()).pixelSize() * 9 / 10));
    s->pixelRatio = ratio();
    s->hillshade = shown.on(MapLayer::hillshade);
    s->buildings = shown.on(MapLayer::buildings);
    s->streets = shown.on(MapLayer::streets);
    s->trees = shown.on(MapLayer::trees);
    s->lines = shown.on(MapLayer::lines);
    s->names = shown.on(MapLayer::names);
    return s;
}

void MapView::Impl::planReplaced() {
    const PlanDocument& document = map.m_space.document;
    const bool open = document.isOpen();
    drawnPlan = open ? document.plan() : Plan{};
    index = SceneryIndex::make(drawnPlan, nullptr);
    shadeGround();
    items.take(drawnPlan, open ? &document.frame() : nullptr);
    tiles.setWhole(open ? drawnPlan.settings->workArea : Box{});
    tiles.replace(drawn = scene());
    corner.forget();
    aimChanged();
    reviewChanged();
    placed = false;
    map.zoomToPlan();
    requestTiles();
    map.update();
}

void MapView::Impl::shadeGround() {
    const auto& terrain = map.m_space.document.terrain();
    ground = terrain ? std::make_shared<const ShadedTerrain>(terrain) : nullptr;
}

void MapView::Impl::terrainChanged() {
    shadeGround();
    tiles.renew(drawn = scene());
    requestTiles();
    map.update();
}

void MapView::Impl::planChanged(const PlanDiff& diff) {
    const Plan before = drawnPlan;
    drawnPlan = map.m_space.document.plan();
    index = SceneryIndex::make(drawnPlan, index.get());
    items.take(drawnPlan, &map.m_space.document.frame());
    tiles.setWhole(drawnPlan.settings->workArea);
    const std::vector<Box> changed = changedGround(before, drawnPlan, diff);
    // Tiles know nothing of mounts and macros: most edits leave them alone.
    if (!changed.empty()) {
        drawn = scene();
        if (changed.size() > kMostBoxes)
            tiles.renew(drawn);
        else
            tiles.setScene(drawn, changed);
        requestTiles();
    }
    aimChanged();
    reviewChanged();
}

void MapView::Impl::shownChanged() {
    map.update();
    const auto now = scene();
    const auto layers = [](const TileScene& s) {
        return std::array{s.hillshade, s.buildings, s.streets, s.trees, s.lines, s.names};
    };
    if (layers(*now) == layers(*drawn)) return; // nothing that tiles show
    drawn = now;
    tiles.renew(now);
    requestTiles();
}

void MapView::Impl::tintChanged() {
    tiles.setLeft(painterOf(tints.leftPicture(), windowPalette(map.palette())));
    tiles.renew(drawn = scene());
    syncDivider();
    requestTiles();
    map.update();
}

void MapView::Impl::syncDivider() {
    if (tiles.split() == (divider != nullptr)) return;
    if (!tiles.split()) {
        if (divider->hasFocus()) map.setFocus();
        divider->hide();
        divider->deleteLater();
        divider = nullptr;
        return;
    }
    divider = new SwipeDivider(&map);
    QWidget::setTabOrder(&map, divider);
    QObject::connect(divider, &QAbstractSlider::valueChanged, &map, [this] { dividerMoved(); });
    QObject::connect(divider, &SwipeDivider::dismissed, &map, [this] { map.m_space.shown.setSwipe(false); });
    divider->show();
    dividerMoved();
}

void MapView::Impl::dividerMoved() {
    if (!divider) return;
    tints.setDivider(map.m_camera.toPlane({divider->lineX(), 0}).x);
    map.update();
}

void MapView::Impl::basemapArrived(const Box& where) {
    tiles.setScene(drawn, {where});
    requestTiles();
}

void MapView::Impl::lookChanged() {
    drawnRatio = ratio();
    tiles.setLeft(painterOf(tints.leftPicture(), windowPalette(map.palette())));
    signs.setLook(windowPalette(map.palette()), map.font(), drawnRatio);
    names.forget();
    corner.forget();
    attribution.forget();
    tiles.replace(drawn = scene());
    requestTiles();
    map.update();
}

void MapView::Impl::aimChanged() {
    const Selection& selection = map.m_space.selection;
    const Chain chain =
        map.m_space.document.isOpen() ? chainOf(map.m_space.document.plan(), selection.primary()) : Chain{};
    aimed = chain.radio;
    aimedHome = chain.mount;
}

void MapView::Impl::reviewChanged() {
    findings.take(map.m_space.live.review(), drawnPlan);
    map.update();
}

void MapView::Impl::requestTiles() {
    if (!map.m_space.document.isOpen()) return;
    tiles.request(map.m_camera, ratio());
    if (map.isVisible())
        map.m_space.basemap.setView(map.m_camera.visible(), map.m_camera.metresPerPixel / ratio());
}

MapView::MapView(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_impl(std::make_unique<Impl>(*this)),
      m_tool(std::make_unique<SelectTool>(*this)) {
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setAttribute(Qt::WA_OpaquePaintEvent);
    setMinimumSize(160, 120);
    setAccessibleName(tr("Map"));
    setAccessibleDescription(tr("Everything on the map is also in the tables of the stages."));
    m_camera.size = size();
    Impl* m = m_impl.get();
    connect(&space.document, &PlanDocument::planReplaced, this, [m] { m->planReplaced(); });
    connect(&space.document, &PlanDocument::planChanged, this, [m](const PlanDiff& d) { m->planChanged(d); });
    connect(&space.document, &PlanDocument::terrainChanged, this, [m] { m->terrainChanged(); });
    connect(&m->tints, &GroundTintSource::changed, this, [m] { m->tintChanged(); });
    connect(&space.basemap, &Basemap::changed, this, [m] { m->tintChanged(); });
    connect(&space.basemap, &Basemap::arrived, this, [m](const Box& ground) { m->basemapArrived(ground); });
    connect(&space.basemap, &Basemap::said, this, [this] { QWidget::update(); });
    connect(&m->rose, &AimRose::changed, this, [this] { update(); });
    connect(&space.fringes, &Fringes::changed, this, [this] { update(); });
    connect(&space.shown, &Shown::changed, this, [m] { m->shownChanged(); });
    connect(&space.selection, &Selection::changed, this, [this, m] {
        m->aimChanged();
        update();
    });
    space.live.computeAhead(this, [this, m](const auto& study) {
        return isVisible() ? m->footprint.lookAhead(study) : std::function<void()>{};
    });
    connect(&space.live, &LiveStudy::shownChanged, this, [m] { m->reviewChanged(); });
    const auto dragged = [this, m] {
        m->syncPause();
        update();
    };
    connect(&space.drag, &LiveDrag::moved, this, dragged);
    connect(&space.drag, &LiveDrag::ended, this, dragged);
    m->lookChanged();
    m->planReplaced();
}

MapView::~MapView() = default;

void MapView::Impl::moved(const Camera& camera) {
    if (camera == map.m_camera) return;
    const bool zoomed = camera.metresPerPixel != map.m_camera.metresPerPixel;
    map.m_camera = camera;
    map.m_camera.size = map.size();
    dividerMoved();
    if (!zoomed) {
        requestTiles();
    } else {
        // One step is drawn at once; in a row of steps only the last is worth drawing.
        const bool row = sinceZoom.isValid() && sinceZoom.elapsed() < 120;
        sinceZoom.start();
        if (row)
            zoomRest.start();
        else
            requestTiles();
    }
    map.update();
    emit map.cameraChanged();
}

void MapView::setCamera(const Camera& camera) {
    Camera c = camera;
    c.size = size();
    c.metresPerPixel = std::clamp(c.metresPerPixel, Camera::kNearest, Camera::kFarthest);
    m_impl->placed = true;
    m_impl->moved(c);
}

void MapView::zoomTo(const Box& box) {
    if (box.empty()) return;
    m_impl->placed = true;
    m_impl->fit(box);
}

void MapView::Impl::fit(const Box& box) {
    Camera c = map.m_camera;
    c.size = QSizeF(map.size().shrunkBy(coveredPart()));
    c.show(box);
    c.size = map.size();
    c.centre = beside(c, c.centre);
    moved(c);
}

QMargins MapView::Impl::coveredPart() const {
    // Where little would be left free the wider side alone counts, and where that is too much, none.
    const int most = map.width() - map.fontMetrics().averageCharWidth() * 40, left = covered.left(),
              right = covered.right();
    if (left + right <= most) return covered;
    if (std::max(left, right) > most) return {};
    return left > right ? QMargins(left, 0, 0, 0) : QMargins(0, 0, right, 0);
}

// Where the camera looks so that a place lies in the middle of what is not covered.
PlanePoint MapView::Impl::beside(const Camera& c, PlanePoint at) const {
    const QMargins m = coveredPart();
    return {at.x - (m.left() - m.right()) / 2.0 * c.metresPerPixel,
            at.y + (m.top() - m.bottom()) / 2.0 * c.metresPerPixel};
}

void MapView::setCovered(const QMargins& covered) {
    if (m_impl->covered == covered) return;
    m_impl->covered = covered;
    if (!m_impl->placed) zoomToPlan();
}

void MapView::zoomToPlan() {
    if (!m_space.document.isOpen()) return;
    const Plan& plan = m_space.document.plan();
    Box all = plan.settings->workArea;
    if (all.empty()) {
        for (const MacroSite& s : plan.macroSites) all.add(s.at);
        for (const Mount& m : plan.mounts) all.add(m.at);
        for (const auto& chunk : plan.scenery.buildingChunks()) all.add(chunk->bounds);
        if (all.empty()) return;
        all = all.grown(50);
    }
    m_impl->fit(all);
}

void MapView::reveal(PlanePoint at) {
    const QRectF inner = QRectF(QPointF(0, 0), m_camera.size)
                             .marginsRemoved(QMarginsF(m_impl->coveredPart()))
                             .adjusted(40, 40, -40, -40);
    if (inner.contains(m_camera.toScreen(at))) return;
    Camera c = m_camera;
    c.centre = m_impl->beside(c, at);
    m_impl->placed = true;
    m_impl->moved(c);
}

void MapView::zoomBy(double factor) {
    Camera c = m_camera;
    c.zoomAt({c.size.width() / 2, c.size.height() / 2}, factor);
    m_impl->placed = true;
    m_impl->moved(c);
}

std::vector<std::pair<QRect, int>> MapView::Impl::cards() const {
    std::vector<std::pair<QRect, int>> out;
    if (const QWidget* parent = map.parentWidget(); parent && map.isVisible())
        for (const QObject* o : parent->children()) {
            const auto* card = qobject_cast<const QWidget*>(o);
            if (!card || card == &map || card->isHidden() || card->isWindow()) continue;
            const QVariant rim = card->property(kCardRim);
            if (rim.isValid()) out.emplace_back(card->geometry().translated(-map.pos()), rim.toInt());
        }
    return out;
}

void MapView::update() {
    QRegion seen = rect();
    for (const auto& [card, r] : m_impl->cards()) seen -= card.adjusted(r, r, -r, -r);
    QWidget::update(seen);
}

void MapView::setTool(std::unique_ptr<Tool> tool) {
    m_tool->cancel();
    m_tool = tool ? std::move(tool) : std::make_unique<SelectTool>(*this);
    m_impl->afterTool();
    update();
    emit toolChanged();
}

void MapView::setGhosts(Ghosts ghosts) {
    if (m_ghosts.empty() && ghosts.empty()) return;
    m_ghosts = std::move(ghosts);
    update();
}

void MapView::addOverlay(std::function<void(QPainter&, const Camera&)> paint, bool below) {
    m_impl->overlays.emplace_back(std::move(paint), below);
    update();
}

std::vector<MapHit> MapView::hitsAt(QPointF screen) const { return fw::hitsAt(m_impl->hitScene(), screen); }

std::vector<ItemId> MapView::itemsIn(const QRectF& screen) const {
    return fw::itemsIn(m_impl->hitScene(), screen);
}

GroundTintSource& MapView::groundTint() { return m_impl->tints; }

QRect MapView::attributionPlace() const { return m_impl->attribution.place(); }

bool MapView::sharp() const { return m_impl->tiles.sharp(m_camera, m_impl->ratio()); }

} // namespace fw
