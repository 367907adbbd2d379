// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/pack_preview.h"

#include "dialogs/pack_sites.h"
#include "dialogs/page_column.h"
#include "text/figures.h"
#include "theme/paper_fonts.h"
#include "theme/window_palette.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDateEdit>
#include <QDesktopServices>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QToolButton>
#include <QUrl>

namespace fw {

namespace {

const QString kContentKey = QStringLiteral("pack content"), kSheetsKey = QStringLiteral("pack sheets"),
              kWriteKey = QStringLiteral("pack writing");
const QString kAgain = QStringLiteral("draw-again"), kCompute = QStringLiteral("compute-now");

QString link(const QString& target, const QString& text) {
    return QStringLiteral("<a href=\"%1\">%2</a>").arg(target.toHtmlEscaped(), text.toHtmlEscaped());
}

template <class T>
using Answer = std::shared_ptr<std::optional<Result<T>>>;

template <class T>
Answer<T> answer() {
    return std::make_shared<std::optional<Result<T>>>();
}

// What a job left, or why there is nothing.
template <class T>
Result<T> left(const Answer<T>& a) {
    if (*a) return **a;
    return Error{ErrorCode::internal,
                 PackPreview::tr("It ended by a fault inside the program. Try again, and save the plan.")
                     .toStdString()};
}

} // namespace

PackPreview::PackPreview(Workspace& space, const MagneticField* field, QWidget* parent)
    : QDialog(parent), m_space(space) {
    if (field) m_field = *field;
    loadPaperFonts(); // here, not first on a worker
    setWindowFlag(Qt::Window);
    setModal(false);
    setWindowTitle(tr("Site plan pack"));
    m_soon.setSingleShot(true);
    m_soon.setInterval(120);
    makeWindow();
    connectAll();
    planReplaced();
}

PackPreview::~PackPreview() {
    for (const QString& key : {kContentKey, kSheetsKey, kWriteKey}) m_space.jobs.cancel(key);
}

void PackPreview::connectAll() {
    connect(&m_soon, &QTimer::timeout, this, &PackPreview::refresh);
    const auto soon = [this] {
        m_failed = m_stopped = false;
        showPlan();
        m_soon.start();
    };
    connect(&m_space.document, &PlanDocument::planReplaced, this, &PackPreview::planReplaced);
    connect(&m_space.document, &PlanDocument::planChanged, this, soon);
    connect(&m_space.live, &LiveStudy::shownChanged, this, [this] {
        if (m_space.live.dragging()) return; // a frame of a drag is no plan yet
        showPlan();
        m_soon.start();
    });
    connect(&m_space.live, &LiveStudy::settledChanged, this, [this] { m_soon.start(); });
    connect(&m_space.live, &LiveStudy::stateChanged, this, [this] { m_soon.start(); });
    connect(&m_space.jobs, &JobBoard::changed, this, &PackPreview::showProgress);
    connect(m_sites, &PackSites::ticksChanged, this, &PackPreview::choiceChanged);
    connect(m_paper, &QComboBox::currentIndexChanged, this, &PackPreview::choiceChanged);
    connect(m_number, &QLineEdit::textChanged, this, &PackPreview::choiceChanged);
    connect(m_date, &QDateEdit::dateChanged, this, &PackPreview::choiceChanged);
    for (QCheckBox* box : {m_hillshade, m_workings})
        connect(box, &QCheckBox::toggled, this, &PackPreview::choiceChanged);
    connect(m_folder, &QLineEdit::textChanged, this, &PackPreview::sayFolder);
    connect(m_write, &QPushButton::clicked, this, &PackPreview::write);
    connect(m_cancel, &QPushButton::clicked, this, &PackPreview::stop);
    connect(m_pages, &PageColumn::currentPageChanged, this, &PackPreview::showPlace);
    connect(m_pages, &PageColumn::zoomChanged, this, &PackPreview::showPlace);
    for (QLabel* label : {m_state, m_says})
        connect(label, &QLabel::linkActivated, this, &PackPreview::linkClicked);
}

void PackPreview::linkClicked(const QString& target) {
    if (target == kCompute) {
        m_space.live.computeNow();
    } else if (target == kAgain) {
        m_stopped = m_failed = false;
        refresh();
    } else {
        QDesktopServices::openUrl(QUrl(target));
    }
}

void PackPreview::planReplaced() {
    stop();
    m_content.reset();
    m_contentOf.reset();
    m_stopped = m_failed = false;
    dropSheets(QString());
    sayWriting({});
    m_sites->tickAll(true);
    showPlan();
    suggestFolder();
    m_soon.start();
}

void PackPreview::showPlan() {
    m_sites->show(m_space.document.plan(), m_space.live.study() ? &m_space.live.review() : nullptr);
    m_held->setText(tr("%1 of %2 sites").arg(m_sites->ticked().size()).arg(m_sites->siteCount()));
    if (m_sheets) m_pages->setStale(!current());
    m_write->setEnabled(m_writing || current());
}

void PackPreview::setSites(const std::vector<ItemId>& sites) {
    showPlan();
    m_sites->tickOnly(sites);
}

void PackPreview::choiceChanged() {
    m_stopped = m_failed = false;
    showPlan();
    m_soon.start();
}

PackChoice PackPreview::choice() const {
    PackChoice c;
    c.sites = m_sites->ticked();
    c.options.page = static_cast<QPageSize::PageSizeId>(m_paper->currentData().toInt());
    c.options.hillshade = m_hillshade->isChecked();
    c.options.workings = m_workings->isChecked();
    c.options.issue.number = m_number->text().trimmed().toStdString();
    c.options.issue.date = m_date->date().toString(Qt::ISODate).toStdString();
    return c;
}

bool PackPreview::current() const {
    return m_sheets && !m_space.live.stale() && !m_space.live.dragging() && m_sheets->whole == m_content &&
           m_contentOf == m_space.live.study() && m_sheets->choice == choice();
}

// Brings the sheets nearer to plan and choice by one step, and says what it waits for.
void PackPreview::refresh() {
    if (!isVisible()) return;
    showPlan();
    if (refreshEmpty() || m_stopped || m_failed) return;
    const LiveStudy& live = m_space.live;
    if (current()) {
        sayState({});
        showProgress();
        return;
    }
    if (live.dragging()) return;
    if (!m_sheets) m_pages->setEmptyText(tr("The sheets appear here when they are drawn."));
    const bool waits = live.stale() || !live.study();
    if (waits || live.study() != m_contentOf) {
        m_space.jobs.cancel(kSheetsKey);
        m_drawing.reset();
    }
    if (waits) {
        m_space.jobs.cancel(kContentKey);
        m_building.reset();
        sayState(tr("Waiting until the plan is computed. %1").arg(link(kCompute, tr("Compute now"))));
    } else if (live.study() != m_contentOf) {
        if (live.settling())
            sayState(tr("Waiting until the loads are settled."));
        else if (m_building != live.study())
            buildContent();
    } else if (m_drawing != choice()) {
        drawSheets();
    }
    showProgress();
}

// What makes sheets impossible is said where they would be.
bool PackPreview::refreshEmpty() {
    QString why;
    if (!m_space.document.isOpen())
        why = tr("No plan is open.");
    else if (m_sites->siteCount() == 0)
        why = tr(
            "No small cell is chosen in this variant, so there is nothing to build yet.\nChoose one in the "
            "table of small cells; its sheets then appear here.");
    else if (m_sites->ticked().empty())
        why = tr("No site is ticked.\nTick the sites whose sheets the crew needs.");
    else if (!m_field)
        why = tr("The magnetic model is missing from the installed data, and no sheet can give a compass "
                 "bearing without it.\nInstall the program's data again.");
    if (why.isEmpty()) return false;
    m_space.jobs.cancel(kContentKey);
    m_space.jobs.cancel(kSheetsKey);
    m_building.reset();
    m_drawing.reset();
    dropSheets(why);
    return true;
}

void PackPreview::dropSheets(const QString& why) {
    m_sheets.reset();
    m_pages->setEmptyText(why);
    m_pages->setPages({});
    sayState({});
    showPlace();
    showProgress();
    m_write->setEnabled(m_writing);
}

// The same job, with its progress where the window can read it.
Job PackPreview::followed(const Job& job, const std::shared_ptr<std::atomic<double>>& share) {
    Job out = job;
    out.progress = [report = job.progress, share](double s, std::string_view what) {
        share->store(s);
        if (report) report(s, what);
    };
    return out;
}

void PackPreview::buildContent() {
    const auto study = m_space.live.study();
    m_building = study;
    m_share->store(0);
    std::optional<Ledger> settled;
    if (const Ledger* known = m_space.live.settled(); known) settled = *known;
    const auto result = answer<std::shared_ptr<const PackContent>>();
    const QPointer<PackPreview> self = this;
    sayState(tr("Reviewing and describing the sites."));
    m_space.jobs.start(
        kContentKey, tr("Describing the sites of the pack"),
        [result, study, settled, field = *m_field, share = m_share](const Job& job) {
            const Job mine = followed(job, share);
            *result = buildPackContent(study, settled, field, mine);
        },
        [self, result, study](Outcome outcome) {
            if (self) self->contentBuilt(outcome, left(result), study);
        });
}

void PackPreview::contentBuilt(Outcome outcome, const Result<std::shared_ptr<const PackContent>>& result,
                               const std::shared_ptr<const Study>& study) {
    if (m_building != study) return; // another one is on its way
    m_building.reset();
    if (outcome == Outcome::done && result) {
        m_content = *result;
        m_contentOf = study;
        refresh();
        return;
    }
    if (outcome == Outcome::cancelled) return;
    m_failed = true;
    sayState(coreText(result.error().sentence()), Tone::trouble);
    showProgress();
}

void PackPreview::drawSheets() {
    const PackChoice wanted = choice();
    m_drawing = wanted;
    m_share->store(0);
    const auto result = answer<std::shared_ptr<const PackSheets>>();
    const QPointer<PackPreview> self = this;
    sayState(tr("Drawing the sheets."));
    m_space.jobs.start(
        kSheetsKey, tr("Drawing the sheets of the pack"),
        [result, wanted, content = m_content, share = m_share](const Job& job) {
            const Job mine = followed(job, share);
            *result = drawPackSheets(content, wanted, mine);
        },
        [self, result, wanted](Outcome outcome) {
            if (self && self->m_drawing == wanted) self->sheetsDrawn(outcome, left(result));
        });
}

void PackPreview::sheetsDrawn(Outcome outcome, const Result<std::shared_ptr<const PackSheets>>& result) {
    if (outcome == Outcome::cancelled) return; // whoever stopped it goes on
    m_drawing.reset();
    if (outcome == Outcome::done && result) {
        m_sheets = *result;
        m_pages->setPages(m_sheets->pages);
        showPlace();
        refresh();
        return;
    }
    m_failed = true;
    sayState(coreText(result.error().sentence()), Tone::trouble);
    showProgress();
}

void PackPreview::stop() {
    if (!m_building && !m_drawing) return;
    m_space.jobs.cancel(kContentKey);
    m_space.jobs.cancel(kSheetsKey);
    m_building.reset();
    m_drawing.reset();
    m_stopped = true;
    const QString again = link(kAgain, tr("Draw again"));
    sayState(m_sheets ? tr("Stopped; these pages are of an earlier state. %1").arg(again)
                      : tr("Stopped. %1").arg(again));
    showProgress();
}

void PackPreview::write() {
    if (m_writing) {
        m_space.jobs.cancel(kWriteKey);
        return;
    }
    if (!current()) return;
    const QString where = folder();
    if (where.isEmpty()) {
        sayWriting(tr("Name the folder that the pack is written to, from the root or from ~/."),
                   Tone::trouble);
        m_folder->setFocus();
        return;
    }
    m_writing = true;
    m_write->setText(tr("Stop writing"));
    sayWriting(tr("Writing the pack."));
    const auto result = answer<PackFiles>();
    const QPointer<PackPreview> self = this;
    m_space.jobs.start(
        kWriteKey, tr("Writing the pack"),
        [result, sheets = m_sheets, where, plan = m_space.document.path()](const Job& job) {
            *result = writePackFiles(sheets->content, sheets->choice.options, where.toStdString(), plan, job);
        },
        [self, result, where](Outcome outcome) {
            if (self) self->writeEnded(outcome, left(result), where);
        });
}

void PackPreview::writeEnded(Outcome outcome, const Result<PackFiles>& result, const QString& where) {
    m_writing = false;
    m_write->setText(tr("&Write pack"));
    m_write->setEnabled(current());
    sayFolder();
    // Asked to stop when all was in place already: it is written, and said so.
    if (result) {
        const int files = static_cast<int>(result->works.size()) + 1, sites = static_cast<int>(result->sites);
        const QString to = link(QUrl::fromLocalFile(where).toString(), where);
        sayWriting((sites == 1 ? tr("1 site in %1 files, written to %2")
                               : tr("%n sites in %1 files, written to %2", "", sites))
                       .arg(QLocale().toString(files), to),
                   Tone::plain);
        emit written(where);
    } else if (outcome == Outcome::cancelled || result.error().code == ErrorCode::cancelled) {
        sayWriting(tr("Stopped; nothing was written."));
    } else {
        sayWriting(coreText(result.error().sentence()), Tone::trouble);
    }
}

void PackPreview::showEvent(QShowEvent* event) {
    QDialog::showEvent(event);
    m_stopped = m_failed = false;
    sayFolder();
    m_soon.start(0);
}

void PackPreview::hideEvent(QHideEvent* event) {
    QDialog::hideEvent(event);
    m_space.jobs.cancel(kContentKey);
    m_space.jobs.cancel(kSheetsKey);
    m_building.reset();
    m_drawing.reset();
}

} // namespace fw
