// SPDX-License-Identifier: GPL-3.0-or-later
// The window: makes the parts, connects them, and remembers how they lay. No logic of the job lives here.
#pragma once

#include "bench/bench.h"
#include "calibration/measured_point.h"
#include "canvas/map_view.h"
#include "document/workspace.h"
#include "geo/declination.h"
#include "models/stage.h"
#include "shell/map_area.h"
#include "shell/notice_line.h"
#include "shell/stage_bar.h"
#include "shell/start_page.h"
#include "shell/status_line.h"
#include "store/recovery.h"

#include <QMainWindow>

#include <array>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

class QStackedWidget;

namespace fw {

class AfterWindow;
class AuditWindow;
class VariantsWindow;
class CalibrationWindow;
class ChoiceWindow;
class GroundTintSource;
class IdentityWindow;
class IntakeWindow;
class LostWorkDialog;
class ModelsWindow;
class LostWorkList;
class PackPreview;
class ResidualLayer;
class RingLayer;
class ShownCard;
class StageTable;
class WorkingView;
struct Alternates;
struct Working;

/// What the program finds on the disk for its window.
struct WindowData {
    std::filesystem::path sample;       ///< the sample's plan; empty: not installed
    std::optional<MagneticField> field; ///< for magnetic bearings
    std::string version;
    std::filesystem::path costs =
        {}; ///< the table of costs that comes with the program; empty: not installed
};

class MainWindow : public QMainWindow {
    Q_OBJECT
public:
    explicit MainWindow(WindowData found);
    ~MainWindow() override;

    /// Reads a plan on a worker and shows it; asks first where work would be lost.
    void openPlanFile(const QString& file);
    void openSample();

    Workspace& space() { return m_space; }
    [[nodiscard]] MapView* map() const { return m_map; }
    [[nodiscard]] Bench* bench() const { return m_bench; }
    [[nodiscard]] StageBar* stages() const { return m_stages; }
    [[nodiscard]] StageTable* table(Stage stage) const { return m_tables[static_cast<std::size_t>(stage)]; }
    [[nodiscard]] NoticeLine* notice() const { return m_notice; }
    [[nodiscard]] PackPreview* packPreview() const { return m_pack; }
    [[nodiscard]] IntakeWindow* intake() const { return m_intake; }
    [[nodiscard]] AuditWindow* audit() const { return m_audit; }
    [[nodiscard]] VariantsWindow* variants() const { return m_variants; }
    [[nodiscard]] ModelsWindow* models() const { return m_models; }
    [[nodiscard]] IdentityWindow* identities() const { return m_identities; }
    [[nodiscard]] CalibrationWindow* calibration() const { return m_calibration; }
    [[nodiscard]] const ResidualLayer* residuals() const { return m_residuals.get(); }
    [[nodiscard]] const RingLayer& ring() const { return *m_ring; }
    [[nodiscard]] AfterWindow* after() const { return m_after; }
    [[nodiscard]] ChoiceWindow* choice() const { return m_choice; }
    /// Shows files before they are taken in; without a plan one is made where they lie.
    void takeFilesIn(const QStringList& files);
    /// Prints the evidence page of the plan as it is on a worker; the notice line says where it went, or why
    /// not.
    void writeEvidence(const QString& file, int page);
    [[nodiscard]] StartPage* startPage() const { return m_start; }
    /// An action by its object name: "undo", "nextFinding"; null when there is none.
    [[nodiscard]] QAction* action(const QString& name) const;

protected:
    void closeEvent(QCloseEvent*) override;
    void dragEnterEvent(QDragEnterEvent*) override;
    void dropEvent(QDropEvent*) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    // main_window.cpp
    void makeParts();
    void connectPlan();
    void connectMap();
    void connectBench();
    void planReplaced();
    void refreshTitle();
    void refreshStages();
    void showStage(int stage);
    void chooseNextPane(int step);
    void remember();
    void restore();
    // window_plans.cpp
    /// Asks where work would be lost, reads on a worker, shows the plan, says what there is to say; `then` is
    /// called when it is shown.
    void load(const QString& name, const std::function<Result<LoadedPlan>()>& read,
              const std::function<void(const LoadedPlan&)>& then);
    void sayOnOpening(const LoadedPlan& loaded);
    void bringBack(const LostWork& work);
    void connectKeeping();
    void connectLostWork(LostWorkList* list);
    void lookForLostWork();
    void showLostWork();
    [[nodiscard]] bool mayLeavePlan();
    bool save();
    bool saveAs();
    void sayOfSaving(const Status& done);
    // window_intake.cpp
    void makeIntake();
    void askForFiles();
    void planForFiles(const QStringList& files);
    void filesDropped(const QStringList& files);
    void chooseBasemap();
    // window_evidence.cpp
    void openAudit();
    void openVariants();
    void openCalibration();
    void openModels();
    [[nodiscard]] QAction* makeModelsAction();
    [[nodiscard]] QAction* makeEvidenceAction();
    void askForEvidence();
    [[nodiscard]] bool readyForEvidence();
    void tellCounted(); ///< which cells files on their way in have counters of
    void makeCalibration();
    [[nodiscard]] QString residualAt(PlanePoint at) const;
    // window_identity.cpp
    QAction* makeIdentityAction();
    void openIdentities();
    // window_after.cpp
    QAction* makeAfterAction();
    void openAfter();
    // window_choice.cpp
    QAction* makeChooseAction();
    void openChoice();
    // window_actions.cpp
    QAction* add(const char* name, const QString& text, const QList<QKeySequence>& keys = {});
    void makeActions();
    void makePlanMenu();
    void makeEditMenu();
    void makeViewMenu();
    void makeCellsMenu();
    QList<QAction*> makeConsentActions();
    QList<QAction*> makeAimActions();
    QAction* makeRefusalAction();
    void answerRefusal(const Alternates& found);
    QAction* makeRingAction();
    void showRing();
    void tellRing();
    void dropRing();
    void makeHelpMenu();
    void makeTools();
    void fillRecent();
    void refreshActions();
    void splitBench(bool apart);
    void openPack();
    void showWorking(const Working& working);
    void goToItem(ItemId item);
    void goToPlace(PlanePoint at);

    WindowData m_data;
    Workspace m_space;
    QStackedWidget* m_pages = nullptr;
    StartPage* m_start = nullptr;
    StageBar* m_stages = nullptr;
    NoticeLine* m_notice = nullptr;
    QSplitter* m_work = nullptr;
    MapArea* m_area = nullptr;
    MapView* m_map = nullptr;
    GroundTintSource* m_tint = nullptr;
    ShownCard* m_shownCard = nullptr;
    std::array<StageTable*, 6> m_tables{};
    Bench* m_bench = nullptr;
    StatusLine* m_status = nullptr;
    PackPreview* m_pack = nullptr;
    IntakeWindow* m_intake = nullptr;
    AuditWindow* m_audit = nullptr;
    VariantsWindow* m_variants = nullptr;
    CalibrationWindow* m_calibration = nullptr;
    ModelsWindow* m_models = nullptr;
    IdentityWindow* m_identities = nullptr;
    std::shared_ptr<ResidualLayer> m_residuals; ///< null until there is a calibration
    std::shared_ptr<const std::vector<MeasuredPoint>> m_measured;
    std::shared_ptr<RingLayer> m_ring;
    std::shared_ptr<const Alternates> m_alternates; ///< shown with the ring; null: none, or on their way
    ItemId m_ringOf;                                ///< small cell whose ring is shown or sought
    AfterWindow* m_after = nullptr;
    ChoiceWindow* m_choice = nullptr;
    WorkingView* m_working = nullptr;
    LostWorkDialog* m_lostDialog = nullptr;
    QString m_saveTrouble;        ///< why the last try to save failed, until one succeeds
    std::vector<LostWork> m_lost; ///< as last looked for, what was put off included
    QMenu* m_recent = nullptr;
};

} // namespace fw
