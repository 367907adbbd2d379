// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/status_line.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QClipboard>
#include <QGuiApplication>
#include <QHBoxLayout>
#include <QLabel>
#include <QLocale>
#include <QPainter>
#include <QProgressBar>
#include <QToolButton>

#include <algorithm>
#include <cmath>

namespace fw {

StatusLine::StatusLine(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_hint(new QLabel(this)), m_value(new QLabel(this)),
      m_scale(new QLabel(this)), m_job(new QLabel(this)), m_place(new QToolButton(this)),
      m_stop(new QToolButton(this)), m_bar(new QProgressBar(this)) {
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(10, 2, 10, 2);
    row->setSpacing(12);
    row->addWidget(m_hint, 1);
    for (QWidget* w :
         {static_cast<QWidget*>(m_job), static_cast<QWidget*>(m_bar), static_cast<QWidget*>(m_stop),
          static_cast<QWidget*>(m_value), static_cast<QWidget*>(m_place), static_cast<QWidget*>(m_scale)})
        row->addWidget(w);
    m_hint->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
    m_hint->setTextFormat(Qt::PlainText);
    m_value->setTextFormat(Qt::PlainText);
    m_bar->setRange(0, 1000);
    m_bar->setTextVisible(false);
    m_bar->setFixedWidth(90);
    m_bar->setFixedHeight(6);
    m_bar->setAccessibleName(tr("Progress"));
    m_stop->setText(tr("Stop"));
    // The map above must not move when a button comes or goes.
    row->addStrut(std::max(m_stop->sizeHint().height(), m_place->sizeHint().height()));
    m_stop->setToolTip(tr("Stop what is being computed; what is shown stays"));
    m_place->setAutoRaise(true);
    m_place->setToolTip(tr("Copy this place"));
    m_place->setAccessibleName(tr("Place under the pointer; activate to copy it"));
    connect(m_place, &QToolButton::clicked, this, &StatusLine::copyPlace);
    connect(m_stop, &QToolButton::clicked, this, [this] {
        m_space.live.cancel();
        m_space.jobs.cancelAll();
    });
    connect(&space.jobs, &JobBoard::changed, this, &StatusLine::showJobs);
    connect(&space.live, &LiveStudy::stateChanged, this, &StatusLine::showJobs);
    setPlace({}, {});
    showJobs();
}

void StatusLine::setHint(const QString& hint) {
    if (m_hint->text() != hint) m_hint->setText(hint);
}

void StatusLine::setPlace(const std::optional<PlanePoint>& at, const QString& value) {
    m_value->setText(value);
    m_at = at;
    const bool known = at && m_space.document.isOpen();
    m_place->setVisible(known);
    if (!known) {
        m_copy.clear();
        return;
    }
    const Frame& frame = m_space.document.frame();
    const auto geo = frame.toGeo(*at);
    const QLocale here, c = QLocale::c();
    const QString plane = tr("E %1 N %2").arg(here.toString(at->x, 'f', 1), here.toString(at->y, 'f', 1));
    const QString system = tr("EPSG:%1").arg(frame.epsg());
    if (geo) {
        sayPlace(
            tr("%1, %2   %3   %4")
                .arg(here.toString(geo->latDeg, 'f', 6), here.toString(geo->lonDeg, 'f', 6), plane, system));
        m_copy = QStringLiteral("%1, %2 (WGS 84, latitude, longitude); %3, %4 (%5, east, north)")
                     .arg(c.toString(geo->latDeg, 'f', 7), c.toString(geo->lonDeg, 'f', 7),
                          c.toString(at->x, 'f', 2), c.toString(at->y, 'f', 2), system);
    } else {
        sayPlace(tr("%1   %2").arg(plane, system));
        m_copy = QStringLiteral("%1, %2 (%3, east, north)")
                     .arg(c.toString(at->x, 'f', 2), c.toString(at->y, 'f', 2), system);
    }
}

// The digits change with every move of the pointer; the room for them only grows, so that a move lays nothing
// out anew.
void StatusLine::sayPlace(const QString& text) {
    if (m_place->text() == text) return;
    m_place->setText(text);
    const QSize wanted = m_place->sizeHint().expandedTo(m_placeRoom);
    if (wanted == m_placeRoom) return;
    m_placeRoom = wanted;
    m_place->setFixedSize(wanted);
}

void StatusLine::copyPlace() {
    if (!m_copy.isEmpty()) QGuiApplication::clipboard()->setText(m_copy);
}

void StatusLine::setScale(double metresPerPixel) {
    const double dotsPerMetre = logicalDpiX() / 0.0254;
    const double scale = metresPerPixel * dotsPerMetre;
    const double step = std::pow(10, std::floor(std::log10(std::max(1.0, scale))) - 1);
    m_scale->setText(tr("1 : %1").arg(QLocale().toString(std::round(scale / step) * step, 'f', 0)));
    m_scale->setToolTip(tr("Scale of the map on this screen"));
}

void StatusLine::showJobs() {
    const auto jobs = m_space.jobs.states();
    const bool busy = !jobs.empty();
    m_bar->setVisible(busy);
    m_stop->setVisible(busy);
    if (busy) {
        const JobState& j = jobs.front();
        m_job->setText(j.what.isEmpty() ? j.name : tr("%1: %2").arg(j.name, coreText(j.what.toStdString())));
        m_bar->setValue(static_cast<int>(std::lround(j.share * 1000)));
    } else {
        m_job->setText(m_space.live.stale() && m_space.document.isOpen() ? tr("Figures are not up to date")
                                                                         : QString());
    }
}

void StatusLine::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.raised);
    p.setPen(c.line);
    p.drawLine(0, 0, width(), 0);
}

} // namespace fw
