// SPDX-License-Identifier: GPL-3.0-or-later
// By key: the chosen radio to its best lobe and the next one; an owner's refusal to the next best mount; what
// else would do, on the map.
#include "main_window.h"

#include "canvas/ring_layer.h"
#include "document/workspace.h"
#include "siting/alternates.h"
#include "text/figures.h"

#include <QAction>

namespace fw {

namespace {

const QString kRingJob = QStringLiteral("search ring"), kOthersJob = QStringLiteral("alternates shown");
constexpr double kRingReachM = 60, kRingScale = 0.4; // metres a pixel

} // namespace

QList<QAction*> MainWindow::makeAimActions() {
    QAction* best = add("aimBest", tr("Aim at the &best lobe"), {QKeySequence(Qt::Key_B)});
    QAction* next = add("aimNext", tr("Ai&m at the next best lobe"), {QKeySequence(Qt::SHIFT | Qt::Key_B)});
    QAction* lock = add("aimLock", tr("Loc&k the aim"), {QKeySequence(Qt::Key_L)});
    lock->setCheckable(true);
    const auto radio = [this]() -> const Radio* {
        return m_space.document.plan().radios.find(
            chainOf(m_space.document.plan(), m_space.selection.primary()).radio);
    };
    connect(lock, &QAction::triggered, this, [this, radio](bool on) {
        const Radio* found = radio();
        if (!found || found->aimLocked == on) return;
        Radio held = *found;
        held.aimLocked = on;
        const QString name = QString::fromStdString(m_space.document.plan().label(held.id));
        (void)m_space.document.perform(
            {(on ? tr("Lock the aim of %1") : tr("Unlock the aim of %1")).arg(name).toStdString(),
             {Put{held}}});
    });
    connect(&m_space.drag, &LiveDrag::aimLocked, this, [this, lock](ItemId id) {
        m_notice->say(
            tr("The aim of %1 is locked.").arg(QString::fromStdString(m_space.document.plan().label(id))),
            NoticeLine::Tone::plain, tr("Unlock"), [lock] { lock->trigger(); });
    });
    const auto take = [this](const std::optional<AimPoint>& to) {
        const Aim* aim = m_space.aim.aim();
        if (!aim || !to || m_space.aim.stale() || m_space.live.dragging()) return;
        if (const auto edit = aimEdit(m_space.document.plan(), aim->radio, *to))
            if (const Status done = m_space.document.perform(*edit); !done)
                m_notice->say(QString::fromStdString(done.error().sentence()), NoticeLine::Tone::trouble);
    };
    connect(best, &QAction::triggered, this, [this, take] {
        const Aim* aim = m_space.aim.aim();
        take(aim && !aim->lobes.empty() ? std::optional(aim->lobes.front()) : std::nullopt);
    });
    connect(next, &QAction::triggered, this, [this, take] { take(m_space.aim.nextLobe()); });
    const auto able = [this, best, next, lock, radio] {
        const Radio* found = radio();
        lock->setEnabled(found && !m_space.document.readOnly());
        lock->setChecked(found && found->aimLocked);
        const Aim* aim = m_space.aim.aim();
        const bool can = aim && !aim->lobes.empty() && !m_space.aim.stale() && !m_space.live.dragging() &&
                         !m_space.document.readOnly();
        best->setEnabled(can);
        next->setEnabled(can && aim->lobes.size() > 1);
    };
    connect(&m_space.aim, &LiveAim::changed, this, able);
    connect(&m_space.live, &LiveStudy::stateChanged, this, able);
    connect(&m_space.selection, &Selection::changed, this, able);
    connect(&m_space.document, &PlanDocument::planChanged, this, able);
    connect(&m_space.document, &PlanDocument::planReplaced, this, able);
    able();
    return {best, next, lock};
}

QAction* MainWindow::makeRefusalAction() {
    QAction* refusal = add("refusedNextBest", tr("Refused: ne&xt best"), {QKeySequence(Qt::Key_R)});
    connect(refusal, &QAction::triggered, this, [this] {
        const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
        const auto study = m_space.live.study();
        if (!chain.smallCell || !study || m_space.live.stale() || m_space.document.readOnly()) {
            m_notice->say(tr("Choose the small cell, or its mount, whose owner refused."),
                          NoticeLine::Tone::plain);
            return;
        }
        auto made = std::make_shared<std::optional<Alternates>>();
        m_space.jobs.start(
            QStringLiteral("alternates"), tr("Looking for other mounts"),
            [made, study, small = chain.smallCell](const Job& job) {
                if (auto found = alternatesFor(study, small, {}, job)) *made = std::move(*found);
            },
            [this, made, study](Outcome outcome) {
                if (outcome == Outcome::done && *made && study == m_space.live.study()) answerRefusal(**made);
            });
    });
    return refusal;
}

void MainWindow::answerRefusal(const Alternates& found) {
    const Plan& plan = m_space.document.plan();
    const bool some = !found.list.empty() && !found.list.front().blocked;
    const auto edit =
        some ? refusalEdit(plan, found.mount, found.list.front()) : refusalEdit(plan, found.mount);
    const Status done = edit ? m_space.document.perform(*edit) : Status(edit.error());
    const auto name = [&](ItemId id) { return QString::fromStdString(m_space.document.plan().label(id)); };
    const auto undo = [this] { m_space.document.history().undo(); };
    if (!done) {
        m_notice->say(QString::fromStdString(done.error().sentence()), NoticeLine::Tone::trouble);
    } else if (some) {
        const Alternate& to = found.list.front();
        m_space.selection.setOne(to.mount);
        m_notice->say(tr("%1 is refused. %2 goes to %3, %4 off: fit %5 of %6 kept.")
                          .arg(name(found.mount), name(found.small), name(to.mount), distance(to.metres),
                               figure(to.fit, {}, 0), figure(found.fit, {}, 0)),
                      NoticeLine::Tone::plain, tr("Undo"), undo);
    } else {
        m_notice->say(tr("%1 is refused and no open mount is near: %2 is left out.")
                          .arg(name(found.mount), name(found.small)),
                      NoticeLine::Tone::plain, tr("Undo"), undo);
    }
}

QAction* MainWindow::makeRingAction() {
    m_ring = std::make_shared<RingLayer>();
    m_map->addOverlay(
        [this](QPainter& p, const Camera& camera) {
            p.setFont(m_map->font());
            m_ring->paint(p, camera, windowPalette(m_map->palette()));
            m_ring->paintLegend(p, camera, windowPalette(m_map->palette()), m_map->layoutDirection());
        },
        false);
    QAction* ring =
        add("searchRing", tr("Search rin&g, other mounts"), {QKeySequence(Qt::SHIFT | Qt::Key_R)});
    ring->setCheckable(true);
    connect(ring, &QAction::triggered, this, [this](bool on) {
        if (on)
            showRing();
        else
            dropRing();
    });
    connect(&m_space.document, &PlanDocument::planChanged, this, &MainWindow::dropRing);
    connect(&m_space.document, &PlanDocument::planReplaced, this, &MainWindow::dropRing);
    return ring;
}

void MainWindow::showRing() {
    const ItemId small = chainOf(m_space.document.plan(), m_space.selection.primary()).smallCell;
    const auto study = m_space.live.study();
    if (!small || !study || m_space.live.stale()) {
        action(QStringLiteral("searchRing"))->setChecked(false);
        m_notice->say(
            small ? tr("The plan is not computed yet. Ask again when the status line says it is done.")
                  : tr("Choose the small cell, or its mount, that may have to move."),
            NoticeLine::Tone::plain);
        return;
    }
    m_ringOf = small;
    auto ring = std::make_shared<std::optional<Result<SearchRing>>>();
    m_space.jobs.start(
        kRingJob, tr("Looking at places nearby"),
        [ring, study, small](const Job& job) { ring->emplace(searchRing(*study, small, kRingReachM, job)); },
        [this, ring, study, small](Outcome outcome) {
            if (m_ringOf != small || study != m_space.live.study() || outcome != Outcome::done || !**ring)
                return;
            const Plan& plan = study->plan();
            const Mount& mount = *plan.mounts.find(chainOf(plan, small).mount);
            m_ring->setRing(std::move(***ring), mount.at, QString::fromStdString(mount.name));
            Camera camera = m_map->camera(); // near enough that its dots lie apart
            if (camera.metresPerPixel > kRingScale) {
                camera.centre = mount.at;
                camera.metresPerPixel = kRingScale;
                m_map->setCamera(camera);
            }
            m_map->update();
            tellRing();
        });
    auto others = std::make_shared<std::optional<Result<Alternates>>>();
    m_space.jobs.start(
        kOthersJob, tr("Looking for other mounts"),
        [others, study, small](const Job& job) { others->emplace(alternatesFor(study, small, {}, job)); },
        [this, others, study, small](Outcome outcome) {
            if (m_ringOf != small || study != m_space.live.study() || outcome != Outcome::done || !**others)
                return;
            m_alternates = std::make_shared<const Alternates>(std::move(***others));
            Ghosts ghosts;
            std::vector<RingLayer::Rank> ranks;
            for (const Alternate& a : m_alternates->list) {
                ghosts.push_back({a.radio, std::nullopt});
                //: a rank, and how good a place is
                ranks.push_back({study->plan().mounts.find(a.mount)->at,
                                 tr("%1: fit %2").arg(ranks.size() + 1).arg(figure(a.fit, {}, 0))});
            }
            m_ring->setRanks(std::move(ranks));
            m_map->setGhosts(std::move(ghosts));
            m_map->update();
            tellRing();
        });
}

void MainWindow::tellRing() {
    QStringList says;
    const Plan& plan = m_space.document.plan();
    if (const auto& ring = m_ring->ring())
        says << (ring->samples.empty()
                     ? tr("There is no place within %1 to shift it to.").arg(distance(kRingReachM))
                     : coreText(ring->says));
    if (m_alternates && m_alternates->list.empty()) says << coreText(m_alternates->nothing);
    QStringList others;
    if (m_alternates)
        for (const Alternate& a : m_alternates->list)
            //: another mount: rank, name, distance, fit there; then whether it is blocked
            others << tr("%1 %2, %3 off, fit %4%5")
                          .arg(others.size() + 1)
                          .arg(QString::fromStdString(plan.label(a.mount)), distance(a.metres),
                               figure(a.fit, {}, 0), a.blocked ? tr(" (blocked)") : QString());
    if (!others.isEmpty())
        says << tr("Other mounts, where it has fit %1: %2.")
                    .arg(figure(m_alternates->fit, {}, 0), others.join(QStringLiteral("; ")));
    if (!m_alternates) says << tr("Other mounts are being tried …");
    m_notice->say(says.join(QLatin1Char(' ')), NoticeLine::Tone::plain, tr("Working ..."),
                  [this, of = m_ringOf] {
                      if (m_ringOf == of && m_ring->ring())
                          showWorking(workingOf(m_space.document.plan(), *m_ring->ring()));
                  });
}

void MainWindow::dropRing() {
    if (!m_ringOf) return;
    m_ringOf = {};
    m_space.jobs.cancel(kRingJob);
    m_space.jobs.cancel(kOthersJob);
    action(QStringLiteral("searchRing"))->setChecked(false);
    m_alternates.reset();
    m_ring->clear();
    m_map->setGhosts({});
    m_map->update();
    m_notice->putAway();
}

} // namespace fw
