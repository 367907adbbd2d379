// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "bench/findings_panel.h"
#include "models/finding_index.h"
#include "models/findings_model.h"

#include <QAbstractItemModelTester>
#include <QClipboard>
#include <QGuiApplication>
#include <QLineEdit>
#include <QListView>
#include <QPushButton>
#include <QSettings>
#include <QSignalSpy>

#include <algorithm>

using namespace fw;
using namespace fwtest;

namespace {

struct FindingsDesk {
    explicit FindingsDesk(double firstAzimuth = 90) {
        needGuiApp();
        QSettings().remove("you/name");
        plan = windowPlan();
        const ItemId radio = chainOf(plan.loaded.plan, plan.small).radio;
        Radio r = *plan.loaded.plan.radios.find(radio);
        r.azimuth = TrueAzimuth{firstAzimuth};
        plan.loaded.plan.radios.put(r);
        REQUIRE(space.document.adopt(LoadedPlan(plan.loaded)));
        panel = std::make_unique<FindingsPanel>(space);
        panel->resize(420, 260);
        panel->show();
        REQUIRE(QTest::qWaitForWindowExposed(panel.get(), kPatienceMs));
        REQUIRE(allQuiet(space));
    }
    const Plan& now() const { return space.document.plan(); }
    Chain chain() const { return chainOf(now(), plan.small); }
    FindingsModel& model() const { return *static_cast<FindingsModel*>(panel->list().model()); }
    int rowOf(const std::string& rule) const {
        for (int r = 0; r < model().rowCount(); ++r)
            if (model().at(r).rule == rule) return r;
        return -1;
    }
    void choose(const std::string& rule) {
        REQUIRE(rowOf(rule) >= 0);
        panel->list().setCurrentIndex(model().index(rowOf(rule)));
    }
    QPushButton* button(const QString& text) const {
        for (QPushButton* b : panel->findChildren<QPushButton*>())
            if (b->text() == text) return b;
        FAIL("no button " << text.toStdString());
        return nullptr;
    }
    QLineEdit* line(const QString& name) const { return panel->findChild<QLineEdit*>(name); }
    Workspace space;
    WindowPlan plan;
    std::unique_ptr<FindingsPanel> panel;
};

} // namespace

TEST_CASE("A finding comes while a radio is turned before a macro, and goes when it is turned away",
          "[findings]") {
    FindingsDesk d;
    d.space.selection.setOne(d.chain().mount);
    REQUIRE(d.rowOf("faces-macro") < 0);
    QSignalSpy resets(&d.model(), &QAbstractItemModel::modelReset);
    REQUIRE(d.space.drag.beginRadio(d.chain().radio));
    d.space.drag.turnTo(TrueAzimuth{270});
    REQUIRE(d.rowOf("faces-macro") >= 0);
    const QString sentence = d.model().index(d.rowOf("faces-macro")).data().toString();
    CHECK_FALSE(sentence.isEmpty());
    d.choose("faces-macro");
    d.space.drag.turnTo(TrueAzimuth{268});
    REQUIRE(d.panel->current());
    CHECK(d.panel->current()->rule == "faces-macro"); // stays in hand
    CHECK_FALSE(d.button("Take")->isEnabled());
    d.space.drag.turnTo(TrueAzimuth{90});
    CHECK(d.rowOf("faces-macro") < 0);
    d.space.drag.turnTo(TrueAzimuth{270});
    CHECK(d.panel->current()->rule == "faces-macro"); // and comes back into it
    d.space.drag.abandon();
    CHECK(d.rowOf("faces-macro") < 0);
    CHECK(resets.empty());
}

TEST_CASE("Propose shows the remedy as a ghost, and taking it is one step that clears the finding",
          "[findings]") {
    FindingsDesk d(270);
    d.space.selection.setOne(d.plan.small);
    d.choose("faces-macro");
    REQUIRE(QTest::qWaitFor([&] { return d.button("Take")->isEnabled(); }, 90000));
    std::vector<Ghosts> ghosts;
    QObject::connect(d.panel.get(), &FindingsPanel::proposed, d.panel.get(),
                     [&](const Ghosts& g) { ghosts.push_back(g); });
    QTest::mouseClick(d.button("Propose"), Qt::LeftButton);
    REQUIRE(ghosts.size() == 1);
    REQUIRE(ghosts[0].size() == 1);
    CHECK(ghosts[0][0].radio->id == d.chain().radio);
    const double azimuth = *d.panel->current()->remedy->azimuthTrueDeg;
    CHECK(ghosts[0][0].radio->azimuth.deg == azimuth);
    CHECK(d.now().radios.find(d.chain().radio)->azimuth.deg == 270);
    QTest::mouseClick(d.button("Take"), Qt::LeftButton);
    CHECK(d.now().radios.find(d.chain().radio)->azimuth.deg == azimuth);
    CHECK(d.space.document.history().count() == 1);
    CHECK(d.space.document.history().undoText().startsWith("Turn "));
    REQUIRE(ghosts.size() >= 2);
    CHECK(ghosts.back().empty());
    REQUIRE(allQuiet(d.space));
    CHECK(d.rowOf("faces-macro") < 0);
}

TEST_CASE("A finding stands only with a reason and a name; reopened it is open again", "[findings]") {
    FindingsDesk d(270);
    d.space.selection.setOne(d.plan.small);
    d.choose("faces-macro");
    QTest::mouseClick(d.button("Stands, because …"), Qt::LeftButton);
    QLineEdit *reason = d.line("reason"), *who = d.line("who");
    REQUIRE(reason->isVisible());
    CHECK(who->isVisible());
    QTest::keyClick(reason, Qt::Key_Return);
    CHECK(d.panel->message().contains("reason"));
    CHECK(d.now().waivers.empty());
    QTest::keyClicks(reason, "the hall is torn down in May");
    QTest::keyClick(reason, Qt::Key_Return);
    CHECK(d.panel->message().contains("name"));
    CHECK(d.now().waivers.empty());
    QTest::keyClicks(who, "Ada Quay");
    QTest::keyClick(who, Qt::Key_Return);
    REQUIRE(d.now().waivers.size() == 1);
    const Waiver& w = *d.now().waivers.begin();
    CHECK(w.reason == "the hall is torn down in May");
    CHECK(w.who == "Ada Quay");
    CHECK(w.rule == "faces-macro");
    CHECK(d.space.document.history().count() == 1);
    CHECK(QSettings().value("you/name").toString() == "Ada Quay");
    CHECK_FALSE(reason->isVisible());
    REQUIRE(allQuiet(d.space));
    REQUIRE(d.panel->current());
    CHECK(d.panel->current()->rule == "faces-macro");
    CHECK(d.panel->current()->standing == Standing::stands);

    QTest::mouseClick(d.button("Reopen"), Qt::LeftButton);
    CHECK(d.now().waivers.empty());
    REQUIRE(allQuiet(d.space));
    CHECK(d.model().at(d.rowOf("faces-macro")).standing == Standing::open);
    // The name is known now.
    d.choose("faces-macro");
    QTest::mouseClick(d.button("Stands, because …"), Qt::LeftButton);
    CHECK_FALSE(who->isVisible());
    QTest::keyClick(reason, Qt::Key_Escape);
    CHECK_FALSE(reason->isVisible());
}

TEST_CASE("Next and previous go through all open findings of the plan in order, whatever is chosen",
          "[findings]") {
    FindingsDesk d(270);
    const auto all = d.model().openFindings();
    REQUIRE(all.size() >= 2);
    QSignalSpy went(d.panel.get(), &FindingsPanel::goTo);
    d.space.selection.setOne(d.plan.otherSmall);
    d.space.selection.clear();
    std::vector<std::pair<std::string, std::vector<ItemId>>> seen;
    const std::size_t n = all.size();
    for (std::size_t k = 0; k < n; ++k) {
        d.panel->next();
        REQUIRE(d.panel->current());
        seen.emplace_back(d.panel->current()->rule, d.panel->current()->subjects);
        const ItemId subject = went.back()[1].value<ItemId>();
        CHECK(d.space.selection.items() == std::vector{subject});
    }
    CHECK(went.size() == static_cast<int>(n));
    auto distinct = seen;
    std::sort(distinct.begin(), distinct.end());
    CHECK(std::unique(distinct.begin(), distinct.end()) == distinct.end());
    d.panel->previous();
    CHECK(d.panel->current()->subjects == seen[n - 2].second);
    CHECK(d.panel->current()->rule == seen[n - 2].first);
    CHECK(d.panel->countText().endsWith(QString("of %1 open").arg(n)));
}

TEST_CASE("Enter goes to the finding, and copying gives its sentence and figures", "[findings]") {
    FindingsDesk d(270);
    d.choose("faces-macro");
    QSignalSpy went(d.panel.get(), &FindingsPanel::goTo);
    d.panel->list().setFocus();
    QTest::keyClick(&d.panel->list(), Qt::Key_C, Qt::ControlModifier);
    const QString copied = QGuiApplication::clipboard()->text();
    CHECK(copied.contains(QString::fromStdString(d.panel->current()->text)));
    CHECK(copied.contains("limit"));
    QTest::keyClick(&d.panel->list(), Qt::Key_Return);
    REQUIRE(went.size() == 1);
    CHECK(went[0][0].value<PlanePoint>() == d.panel->current()->where);
    CHECK(d.space.selection.has(d.panel->current()->subjects.front()));
}

TEST_CASE("The list of findings stays consistent and in order through drags and edits", "[findings]") {
    static QStringList complaints;
    complaints.clear();
    FindingsDesk d;
    const auto before =
        qInstallMessageHandler([](QtMsgType, const QMessageLogContext& where, const QString& text) {
            if (where.category && QLatin1String(where.category) == QLatin1String("qt.modeltest"))
                complaints << text;
        });
    {
        QAbstractItemModelTester tester(&d.model(), QAbstractItemModelTester::FailureReportingMode::Warning);
        const auto inOrder = [&] {
            for (int r = 1; r < d.model().rowCount(); ++r) {
                const Finding &a = d.model().at(r - 1), &b = d.model().at(r);
                if (isOpen(b) && !isOpen(a)) return false;
                if (isOpen(a) && isOpen(b) && a.severity < b.severity) return false;
            }
            return true;
        };
        REQUIRE(d.space.drag.beginRadio(d.chain().radio));
        for (int deg = 0; deg < 360; deg += 20) {
            d.space.drag.turnTo(TrueAzimuth{static_cast<double>(deg)});
            CHECK(inOrder());
            CHECK(d.model().rowCount() == static_cast<int>(d.space.live.review().findings.size()));
        }
        d.space.drag.finish();
        REQUIRE(allQuiet(d.space));
        CHECK(inOrder());
        d.space.document.history().undo();
        REQUIRE(allQuiet(d.space));
        CHECK(d.model().rowCount() == static_cast<int>(d.space.live.review().findings.size()));
    }
    qInstallMessageHandler(before);
    CHECK_THAT(complaints.join('\n').toStdString(), Catch::Matchers::Equals(""));
}
