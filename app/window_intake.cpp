// SPDX-License-Identifier: GPL-3.0-or-later
// Files on their way into a plan: asked for, dropped, shown on the map.
#include "main_window.h"

#include "dialogs/basemap_dialog.h"
#include "dialogs/intake_window.h"
#include "dialogs/new_plan_dialog.h"
#include "intake/file_place.h"
#include "plan/new_plan.h"
#include "store/plan_file.h"
#include "theme/window_palette.h"

#include <QDate>
#include <QFileDialog>
#include <QFileInfo>
#include <QPainter>

#include <memory>

namespace fw {

namespace {

// Where the rows of a file would lie: a frame that lets the map through.
void paintExtent(QPainter& p, const Camera& camera, const Box& extent, const WindowPalette& colors) {
    const QPointF a = camera.toScreen({extent.x0, extent.y1}), b = camera.toScreen({extent.x1, extent.y0});
    QRectF box = QRectF(a, b).normalized();
    if (box.width() < 12 || box.height() < 12) box.adjust(-6, -6, 6, 6); // a place is to be seen as well
    QColor wash = colors.ghost;
    wash.setAlpha(28);
    p.setPen(QPen(colors.ghost, 2, Qt::DashLine));
    p.setBrush(wash);
    p.drawRect(box);
}

} // namespace

void MainWindow::makeIntake() {
    if (m_intake) return;
    m_intake = new IntakeWindow(m_space, this);
    m_map->addOverlay(
        [this](QPainter& p, const Camera& camera) {
            const Box extent = m_intake->extent();
            if (!extent.empty()) paintExtent(p, camera, extent, windowPalette(m_map->palette()));
        },
        false);
    connect(m_intake, &IntakeWindow::extentChanged, this, [this] { m_map->update(); });
    connect(m_intake, &IntakeWindow::showWanted, this, [this](const Box& extent) {
        if (!extent.empty()) m_map->zoomTo(extent.grown(std::max(50.0, extent.width() / 10)));
    });
    connect(m_intake, &IntakeWindow::saveWanted, this, [this] { save(); });
    connect(&m_intake->files(), &IntakeFiles::listChanged, this, &MainWindow::tellCounted);
    connect(&m_intake->files(), &IntakeFiles::changed, this, &MainWindow::tellCounted);
    connect(&m_intake->files(), &IntakeFiles::taken, this, [this](int) {
        // What a plan without a work area took in first is nowhere in view yet.
        m_map->update();
    });
}

void MainWindow::askForFiles() {
    const QStringList files = QFileDialog::getOpenFileNames(this, tr("Files to take in"));
    if (!files.isEmpty()) takeFilesIn(files);
}

void MainWindow::takeFilesIn(const QStringList& files) {
    if (!m_space.document.isOpen()) {
        planForFiles(files);
        return;
    }
    makeIntake();
    m_intake->show();
    m_intake->raise();
    m_intake->addFiles(files);
}

// The first file that says where it lies gives the plan its place.
void MainWindow::planForFiles(const QStringList& files) {
    auto place = std::make_shared<std::optional<GeoPoint>>();
    m_space.jobs.start(
        QStringLiteral("place of files"), tr("Looking where the files lie"),
        [place, files](const Job& job) {
            for (const QString& file : files)
                if (!*place && !job.stopped()) *place = placeOfFile(file.toStdString(), job);
        },
        [this, place, files](Outcome outcome) {
            if (outcome != Outcome::done || m_space.document.isOpen()) return;
            const auto fail = [this](const QString& why) { m_start->sayTrouble(why); };
            if (!*place)
                return fail(tr("None of these files says where it lies. Make an empty plan first, then take "
                               "them in."));
            const QDate d = QDate::currentDate();
            const auto frame = Frame::utmFor(**place);
            if (!frame) return fail(QString::fromStdString(frame.error().sentence()));
            auto plan = newPlan({QFileInfo(files.front()).completeBaseName().toStdString(),
                                 frame->epsg(),
                                 {d.year(), d.month(), d.day()},
                                 {}});
            if (!plan) return fail(QString::fromStdString(plan.error().sentence()));
            LoadedPlan loaded;
            loaded.plan = std::move(*plan);
            loaded.terrain = std::make_shared<const Terrain>();
            if (const Status made = m_space.document.adopt(loaded); !made.ok())
                return fail(QString::fromStdString(made.error().sentence()));
            takeFilesIn(files);
        });
}

void MainWindow::chooseBasemap() {
    auto* ask = findChild<BasemapDialog*>();
    if (!ask) {
        ask = new BasemapDialog(m_space, this);
        ask->setAttribute(Qt::WA_DeleteOnClose);
        ask->show();
    }
    ask->raise();
    ask->activateWindow();
}

void MainWindow::filesDropped(const QStringList& files) {
    const auto say = [this](const QString& why) {
        if (m_space.document.isOpen())
            m_notice->say(why, NoticeLine::Tone::trouble);
        else
            m_start->sayTrouble(why);
    };
    for (const QString& file : files)
        if (QFileInfo(file).isDir()) {
            say(tr("%1 is a folder. Drop the files in it.").arg(QFileInfo(file).fileName()));
            return;
        }
    // A plan is opened, anything else taken in. What is called a plan is one, so that a damaged one says so.
    const auto isPlan = [](const QString& file) {
        return file.endsWith(QLatin1String(".plan.gpkg"), Qt::CaseInsensitive) ||
               (file.endsWith(QLatin1String(".gpkg"), Qt::CaseInsensitive) && isPlanFile(file.toStdString()));
    };
    if (files.size() == 1 && isPlan(files[0])) {
        openPlanFile(files[0]);
        return;
    }
    if (std::any_of(files.begin(), files.end(), isPlan)) {
        say(tr("Drop one plan by itself, and files to take in by themselves."));
        return;
    }
    takeFilesIn(files);
}

} // namespace fw
