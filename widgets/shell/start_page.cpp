// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/start_page.h"

#include "shell/lost_work_list.h"
#include "shell/recent_plans.h"
#include "theme/window_palette.h"

#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

namespace {

QLabel* heading(const QString& text, QWidget* parent, double scale) {
    auto* l = new QLabel(text, parent);
    QFont f = l->font();
    f.setPointSizeF(f.pointSizeF() * scale);
    f.setBold(true);
    l->setFont(f);
    l->setWordWrap(true);
    return l;
}

QLabel* paragraph(const QString& text, QWidget* parent) {
    auto* l = new QLabel(text, parent);
    l->setWordWrap(true);
    l->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    l->setTextInteractionFlags(Qt::NoTextInteraction);
    return l;
}

/// A column of the page: heading, words, what to press.
QVBoxLayout* column(QHBoxLayout* row, const QString& title, const QString& words, QWidget* parent) {
    auto* c = new QVBoxLayout;
    c->setSpacing(8);
    c->addWidget(heading(title, parent, 1.15));
    c->addWidget(paragraph(words, parent));
    row->addLayout(c, 1);
    return c;
}

} // namespace

StartPage::StartPage(QWidget* parent)
    : QWidget(parent), m_sample(new QPushButton(tr("Open Port &Merrow"), this)),
      m_open(new QPushButton(tr("&Open a plan ..."), this)),
      m_new(new QPushButton(tr("&New empty plan ..."), this)),
      m_files(new QPushButton(tr("Choose &files ..."), this)), m_recent(new QVBoxLayout),
      m_noRecent(paragraph(tr("Plans that you open are listed here."), this)), m_trouble(paragraph({}, this)),
      m_lostFrame(new QFrame(this)), m_lost(new LostWorkList(m_lostFrame)) {
    for (QPushButton* b : {m_sample, m_open, m_new, m_files}) b->setAutoDefault(true); // Enter presses, too
    auto* page = new QVBoxLayout(this);
    page->setContentsMargins(48, 40, 48, 32);
    page->setSpacing(14);
    page->addStretch(1);
    page->addWidget(heading(tr("Take load off full sectors with small cells that can be built"), this, 1.7));
    page->addWidget(
        paragraph(tr("See where a sector spends its capacity, put small cells there, aim them so that "
                     "nothing faces anything, and hand each crew a sheet it can build from."),
                  this));
    page->addWidget(m_trouble);
    m_trouble->setTextInteractionFlags(Qt::TextSelectableByMouse);
    sayTrouble({});
    auto* lost = new QVBoxLayout(m_lostFrame);
    lost->setContentsMargins(14, 12, 14, 12);
    lost->setSpacing(8);
    lost->addWidget(heading(tr("A session ended before its work was saved"), m_lostFrame, 1.15));
    lost->addWidget(m_lost);
    m_lostFrame->setFrameShape(QFrame::StyledPanel);
    m_lostFrame->hide();
    page->addWidget(m_lostFrame);
    page->addSpacing(18);
    auto* row = new QHBoxLayout;
    row->setSpacing(40);
    page->addLayout(row);
    auto* sample = column(
        row, tr("Look round first"),
        tr("Port Merrow is an invented island town with five full cells, about twenty small cells, and "
           "mounts that are bad on purpose. Changes are kept only where you save them."),
        this);
    sample->addWidget(m_sample, 0, Qt::AlignLeft);
    sample->addStretch(1);
    auto* recent =
        column(row, tr("Go on with a plan"), tr("Any plan file can also be dropped onto this window."), this);
    recent->addWidget(m_open, 0, Qt::AlignLeft);
    recent->addLayout(m_recent);
    recent->addWidget(m_noRecent);
    recent->addStretch(1);
    auto* own = column(
        row, tr("Start from your files"),
        tr("Tables of sites, cells and loads, building footprints, streets, trees, a surveyor's points: "
           "choose "
           "them all at once, or drop them onto this window. Each is shown before it is taken in, and the "
           "plan begins where they lie."),
        this);
    own->addWidget(m_files, 0, Qt::AlignLeft);
    own->addWidget(m_new, 0, Qt::AlignLeft);
    own->addStretch(1);
    page->addSpacing(20);
    m_strip = new QWidget(this);
    m_strip->setMaximumHeight(340);
    page->addWidget(m_strip, 4);
    page->addSpacing(12);
    page->addWidget(
        paragraph(tr("Planning guidance only. Work at height, near power lines and on live antennas follows "
                     "local codes and licensed practice."),
                  this));
    m_sample->setDefault(true);
    connect(m_sample, &QPushButton::clicked, this, &StartPage::sampleWanted);
    connect(m_open, &QPushButton::clicked, this, &StartPage::openWanted);
    connect(m_new, &QPushButton::clicked, this, &StartPage::newPlanWanted);
    connect(m_files, &QPushButton::clicked, this, &StartPage::filesWanted);
    showRecent();
}

void StartPage::showRecent() {
    while (QLayoutItem* item = m_recent->takeAt(0)) {
        delete item->widget();
        delete item;
    }
    const QStringList plans = recentPlans().mid(0, 6);
    m_noRecent->setVisible(plans.isEmpty());
    QWidget* before = m_open; // keys go through the page as eyes do
    for (const QString& file : plans) {
        const QFileInfo info(file);
        auto* b = new QPushButton(this);
        b->setFlat(true);
        b->setAutoDefault(true);
        b->setToolTip(file);
        b->setStyleSheet(QStringLiteral("text-align: left; padding: 3px 6px;"));
        const QString shown = b->fontMetrics().elidedText(info.fileName(), Qt::ElideMiddle,
                                                          b->fontMetrics().averageCharWidth() * 40);
        b->setText(info.exists() ? shown : tr("%1 (not there)").arg(shown));
        b->setEnabled(info.exists());
        m_recent->addWidget(b, 0, Qt::AlignLeft);
        connect(b, &QPushButton::clicked, this, [this, file] { emit planWanted(file); });
        setTabOrder(before, b);
        before = b;
    }
    setTabOrder(before, m_files);
    setTabOrder(m_files, m_new);
}

void StartPage::showLostWork(const std::vector<LostWork>& work) {
    constexpr int kMost = 2; // the rest of the page stays in view
    m_lost->setWork(work, kMost);
    m_lostFrame->setVisible(!work.empty());
}

void StartPage::sayTrouble(const QString& why) {
    m_trouble->setText(why);
    m_trouble->setVisible(!why.isEmpty());
    QPalette p; // this role alone: the others follow the window
    p.setColor(QPalette::WindowText, windowPalette(palette()).accentText);
    m_trouble->setPalette(p);
}

namespace {

// A row of roofs as an antenna sees them, with the bright window of its beam: what the work is about.
void paintRoofs(QPainter& p, const QRectF& room, const WindowPalette& c) {
    const double foot = room.bottom(), beamLeft = room.left() + room.width() * 0.56,
                 beamWide = room.width() * 0.13;
    QLinearGradient beam(0, room.top(), 0, foot);
    QColor strong = c.accent, faint = c.accent;
    strong.setAlpha(c.dark ? 90 : 60);
    faint.setAlpha(0);
    beam.setColorAt(0, faint);
    beam.setColorAt(1, strong);
    p.fillRect(QRectF(beamLeft, room.top(), beamWide, room.height()), beam);
    double x = room.left();
    for (std::uint32_t k = 1; x < room.right(); ++k) {
        const std::uint32_t n = k * 2654435761u;
        const double wide = 26 + (n >> 8) % 46,
                     high = room.height() * (0.22 + 0.5 * ((n >> 16) % 100) / 100.0);
        p.fillRect(QRectF(x, foot - high, std::min(wide, room.right() - x), high), // none beyond its ground
                   n % 3 == 0 ? c.buildingTall : c.building);
        x += wide + ((n >> 24) % 4 == 0 ? 14 : 2);
    }
    p.setPen(QPen(c.accent, 2));
    for (const double edge : {beamLeft, beamLeft + beamWide})
        p.drawLine(QPointF(edge, room.top() + 8), QPointF(edge, foot));
    p.setPen(QPen(c.line, 1));
    p.drawLine(QPointF(room.left(), foot), QPointF(room.right(), foot));
}

} // namespace

void StartPage::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    if (m_strip->height() > 60) paintRoofs(p, QRectF(m_strip->geometry()), c);
}

} // namespace fw
