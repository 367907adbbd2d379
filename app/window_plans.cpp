// SPDX-License-Identifier: GPL-3.0-or-later
// Opening, saving and bringing back plans: which file, what is asked first, what is said.
#include "main_window.h"

#include "dialogs/lost_work_dialog.h"
#include "shell/lost_work_list.h"
#include "shell/recent_plans.h"
#include "store/recovery.h"

#include <QAction>
#include <QDateTime>
#include <QDir>
#include <QFileDialog>
#include <QFileInfo>
#include <QMessageBox>

namespace fw {

namespace fs = std::filesystem;

namespace {

QString said(const Error& e) { return QString::fromStdString(e.sentence()); }

QString whoHasIt(const LockHolder& holder) {
    const QDateTime since = QDateTime::fromString(QString::fromStdString(holder.since), Qt::ISODate);
    const QString who =
        holder.user.empty() ? MainWindow::tr("somebody") : QString::fromStdString(holder.user);
    const QString where = holder.sameMachine
                              ? MainWindow::tr("in another window")
                              : MainWindow::tr("on %1").arg(QString::fromStdString(holder.host));
    QString text = MainWindow::tr("%1 has this plan open %2 since %3. It is shown for reading only.")
                       .arg(who, where, QLocale().toString(since.toLocalTime(), QLocale::ShortFormat));
    if (holder.byWordAlone)
        text +=
            QLatin1Char(' ') + MainWindow::tr("If that session is gone, delete %1 and open the plan again.")
                                   .arg(QString::fromStdString(holder.lockFile.string()));
    return text;
}

bool sameFile(const fs::path& a, const fs::path& b) {
    std::error_code failed;
    return fs::equivalent(a, b, failed);
}

} // namespace

void MainWindow::openSample() {
    if (m_data.sample.empty()) return;
    const fs::path sample = m_data.sample;
    load(tr("Opening the sample"), [sample] { return loadCopy(sample); }, {});
}

void MainWindow::openPlanFile(const QString& file) {
    const fs::path path = QFileInfo(file).absoluteFilePath().toStdString();
    // Its own plan once more: the right to write it is this window's already.
    auto ours = sameFile(path, m_space.document.path()) ? m_space.document.lock() : nullptr;
    load(
        tr("Opening %1").arg(QFileInfo(file).fileName()), [path, ours] { return loadPlan(path, ours); },
        [file](const LoadedPlan&) { rememberPlan(file); });
}

void MainWindow::bringBack(const LostWork& lost) {
    const auto work = std::make_shared<LostWork>(lost);
    auto ours = sameFile(lost.planFile, m_space.document.path()) ? m_space.document.lock() : nullptr;
    load(
        tr("Bringing back lost work"), [work, ours] { return loadLostWork(*work, ours); },
        [this, work](const LoadedPlan& plan) {
            // The old journal goes when the new one has all of it, and not before.
            if (const Status kept = m_space.document.keepRecovered(plan.replayed); !kept.ok())
                m_notice->say(said(kept.error()), NoticeLine::Tone::trouble);
            else
                static_cast<void>(forget(*work));
            lookForLostWork();
        });
}

void MainWindow::load(const QString& name, const std::function<Result<LoadedPlan>()>& read,
                      const std::function<void(const LoadedPlan&)>& then) {
    if (!mayLeavePlan()) return;
    auto got = std::make_shared<std::optional<Result<LoadedPlan>>>();
    m_space.jobs.start(
        QStringLiteral("open"), name, [got, read](const Job&) { *got = read(); },
        [this, got, then, step = m_space.document.history().index()](Outcome outcome) {
            if (outcome == Outcome::cancelled || !*got) return;
            // The window stays usable while a plan is read: what was done meanwhile is asked about too.
            if (m_space.document.history().index() != step && !mayLeavePlan()) return;
            const auto fail = [this](const Error& e) {
                if (m_space.document.isOpen())
                    m_notice->say(said(e), NoticeLine::Tone::trouble);
                else
                    m_start->sayTrouble(said(e));
            };
            if (!**got) return fail((*got)->error());
            const LoadedPlan loaded = std::move(**got).value();
            if (const Status taken = m_space.document.adopt(loaded); !taken) return fail(taken.error());
            sayOnOpening(loaded);
            if (then) then(loaded);
        });
}

void MainWindow::sayOnOpening(const LoadedPlan& loaded) {
    QStringList lines;
    for (const std::string& note : loaded.notes) lines << QString::fromStdString(note);
    if (loaded.readOnly) {
        lines.prepend(loaded.heldBy ? whoHasIt(*loaded.heldBy) : QString::fromStdString(loaded.whyReadOnly));
        m_notice->say(lines.join(QLatin1Char('\n')), NoticeLine::Tone::plain, tr("Work on a copy"),
                      [this] { m_space.document.workOnCopy(); });
        return;
    }
    if (!loaded.replayed.empty() || loaded.unsaved) {
        lines.prepend(loaded.replayed.empty()
                          ? tr("The work came back. It is not saved yet.")
                          : tr("%1 edits came back. They are not saved yet.")
                                .arg(QLocale().toString(qlonglong(loaded.replayed.size()))));
        m_notice->say(lines.join(QLatin1Char('\n')));
        return;
    }
    for (const LostWork& work : m_lost)
        if (!work.declinedAt && work.state != LostWork::State::damaged && loaded.held.file &&
            sameFile(work.planFile, loaded.held.file->path())) {
            lines.prepend(titleOf(work) + QStringLiteral(". ") + tr("A session on this plan ended badly."));
            m_notice->say(lines.join(QLatin1Char('\n')), NoticeLine::Tone::plain, tr("See it"),
                          [this] { showLostWork(); });
            return;
        }
    if (!lines.isEmpty()) m_notice->say(lines.join(QLatin1Char('\n')));
}

void MainWindow::connectKeeping() {
    PlanDocument& doc = m_space.document;
    connect(&doc, &PlanDocument::warned, this,
            [this](const QString& what) { m_notice->say(what, NoticeLine::Tone::trouble); });
    connect(&doc, &PlanDocument::keptChanged, this, [this] {
        refreshTitle();
        refreshActions();
    });
    connectLostWork(m_start->lostWork());
}

void MainWindow::connectLostWork(LostWorkList* list) {
    connect(list, &LostWorkList::bringBackWanted, this, &MainWindow::bringBack);
    connect(list, &LostWorkList::notNowWanted, this, [this](LostWork work) {
        if (const Status done = decline(work); !done.ok()) m_start->sayTrouble(said(done.error()));
        lookForLostWork();
    });
    connect(list, &LostWorkList::forgetWanted, this, [this](const LostWork& work) {
        const auto answer =
            QMessageBox::question(this, tr("Throw away lost work"),
                                  tr("%1. Thrown away, it cannot be brought back.").arg(titleOf(work)),
                                  QMessageBox::Discard | QMessageBox::Cancel, QMessageBox::Cancel);
        if (answer != QMessageBox::Discard) return;
        if (const Status done = forget(work); !done.ok()) m_start->sayTrouble(said(done.error()));
        lookForLostWork();
    });
}

void MainWindow::lookForLostWork() {
    auto found = std::make_shared<std::vector<LostWork>>();
    m_space.jobs.start(
        QStringLiteral("lost work"), {},
        [found](const Job&) {
            clearOldWork(stateFolder(), std::chrono::system_clock::now());
            *found = findLostWork(stateFolder());
        },
        [this, found](Outcome outcome) {
            if (outcome != Outcome::done) return;
            m_lost = std::move(*found);
            std::vector<LostWork> fresh;
            for (const LostWork& work : m_lost)
                if (!work.declinedAt) fresh.push_back(work);
            m_start->showLostWork(fresh);
            if (m_lostDialog) m_lostDialog->setWork(m_lost);
        },
        JobBoard::Manner::quiet);
}

void MainWindow::showLostWork() {
    if (!m_lostDialog) {
        m_lostDialog = new LostWorkDialog(this);
        connectLostWork(m_lostDialog->list());
    }
    m_lostDialog->setWork(m_lost);
    m_lostDialog->show();
    m_lostDialog->raise();
    lookForLostWork();
}

bool MainWindow::mayLeavePlan() {
    if (!m_space.document.isOpen() || m_space.document.history().isClean()) return true;
    QMessageBox box(QMessageBox::Question, tr("Unsaved changes"),
                    tr("%1 has changes that are not saved.").arg(m_space.document.title()),
                    QMessageBox::Save | QMessageBox::Discard | QMessageBox::Cancel, this);
    box.setDefaultButton(QMessageBox::Save);
    switch (box.exec()) {
    case QMessageBox::Save:
        return save();
    case QMessageBox::Discard:
        return true;
    default:
        return false;
    }
}

bool MainWindow::save() {
    if (m_space.document.path().empty()) return saveAs();
    const Status done = m_space.document.save();
    sayOfSaving(done);
    return done.ok();
}

void MainWindow::sayOfSaving(const Status& done) {
    if (!done.ok()) {
        m_saveTrouble = said(done.error());
        m_notice->say(m_saveTrouble, NoticeLine::Tone::trouble);
    } else if (!m_saveTrouble.isEmpty()) {
        // What kept it from being saved is over.
        if (m_notice->text() == m_saveTrouble) m_notice->putAway();
        m_saveTrouble.clear();
    }
    refreshTitle();
}

bool MainWindow::saveAs() {
    const QString start = m_space.document.path().empty()
                              ? QDir::home().filePath(m_space.document.title() + QStringLiteral(".plan.gpkg"))
                              : QString::fromStdString(m_space.document.path().string());
    QString file = QFileDialog::getSaveFileName(this, tr("Save the plan"), start, tr("Plans (*.plan.gpkg)"));
    if (file.isEmpty()) return false;
    if (!file.endsWith(QLatin1String(".gpkg"))) file += QStringLiteral(".plan.gpkg");
    const Status done = m_space.document.saveAs(file.toStdString());
    if (done.ok()) rememberPlan(file);
    sayOfSaving(done);
    return done.ok();
}

} // namespace fw
