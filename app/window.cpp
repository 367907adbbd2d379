// SPDX-License-Identifier: GPL-3.0-or-later
#include "window.h"

#include "commands/common.h"
#include "main_window.h"
#include "theme/paper_fonts.h"
#include "theme/window_theme.h"

#include <QApplication>
#include <QSettings>

#include <clocale>
#include <cstdlib>

namespace fw::cli {

namespace {

bool isSet(const char* name) {
    const char* value = std::getenv(name);
    return value && *value;
}

std::filesystem::path samplePlan() {
    const std::filesystem::path name = std::filesystem::path("port-merrow") / "port-merrow.plan.gpkg";
    std::error_code fault;
    for (const auto& folder :
         {dataFolder() / "sample-projects", dataFolder().parent_path() / "sample-projects"})
        if (std::filesystem::is_regular_file(folder / name, fault)) return folder / name;
    return {};
}

} // namespace

int runWindow(const WindowRequest& request, int& argc, char** argv) {
    if (!isSet("DISPLAY") && !isSet("WAYLAND_DISPLAY") && !isSet("QT_QPA_PLATFORM"))
        throw Failure{exitUsage,
                      "There is no display to open a window on. fringewright --help lists the commands "
                      "that do the work without one."};
    QCoreApplication::setOrganizationName(QStringLiteral("fringewright"));
    QCoreApplication::setApplicationName(QStringLiteral("fringewright"));
    QCoreApplication::setApplicationVersion(QStringLiteral(FW_VERSION));
    QGuiApplication::setDesktopFileName(QStringLiteral("org.fringewright.Fringewright"));
    QApplication app(argc, argv);
    // Qt has just taken over the user's locale; libraries below read and write numbers in C notation.
    std::setlocale(LC_NUMERIC, "C");
    loadPaperFonts();
    wear(static_cast<Appearance>(QSettings().value(QStringLiteral("window/light"), 0).toInt()));
    WindowData data;
    data.sample = samplePlan();
    if (auto field = MagneticField::load(dataFolder() / "magnetic")) data.field = std::move(*field);
    data.version = FW_VERSION;
    data.costs = dataFolder() / "costs.toml";
    MainWindow window(std::move(data));
    window.show();
    if (!request.plan.empty()) window.openPlanFile(QString::fromStdString(request.plan));
    return QApplication::exec() == 0 ? exitClean : exitInternal;
}

} // namespace fw::cli
