// SPDX-License-Identifier: GPL-3.0-or-later
// What lies beneath the plan on the map, when the user has chosen something.
#pragma once

#include "canvas/basemap_painter.h"
#include "document/basemap_choice.h"
#include "document/plan_document.h"
#include "jobs/job_board.h"

#include <QObject>

#include <memory>

namespace fw {

class BasemapReader;
class WebTiles;
struct WebSheet;

/// Keeps the choice for the plan that is open and gives the map its painter. Nothing is opened and nobody is
/// asked but for a choice that is on; choices come from the user's own settings, never from a plan.
class Basemap : public QObject {
    Q_OBJECT
public:
    Basemap(PlanDocument& document, JobBoard& jobs, QObject* parent = nullptr);
    ~Basemap() override;

    [[nodiscard]] const BasemapChoice& choice() const { return m_choice; }
    /// Takes a choice for the plan that is open, keeps it for the next time and shows it when it is on.
    void choose(const BasemapChoice& choice);
    void setOn(bool on);
    void setStrength(int percent);

    /// Null while there is nothing to draw.
    [[nodiscard]] const std::shared_ptr<const BasemapPainter>& painter() const { return m_painter; }
    /// Whose it is; empty while nothing is drawn.
    [[nodiscard]] QString attribution() const { return m_painter ? m_choice.attribution : QString(); }
    /// What keeps it from being whole, in one quiet sentence; empty while all is well.
    [[nodiscard]] const QString& word() const { return m_word; }

    /// What the map shows: tiles of an address are asked for by this alone.
    void setView(const Box& plan, double metresPerPixel);
    /// Nothing more is under way for the view (tests, screenshots).
    [[nodiscard]] bool settled() const;

signals:
    void choiceChanged();
    void changed();                    ///< painter() is another: everything is to be drawn anew
    void arrived(const fw::Box& plan); ///< the painter has more for this ground
    void said();                       ///< attribution() or word() is another

private:
    struct Relay;
    void planReplaced();
    void apply();
    void openFile();
    void openAddress();
    void makePainter();
    void say(const QString& word);

    PlanDocument& m_document;
    JobBoard& m_jobs;
    BasemapChoice m_choice;
    std::string m_uid;
    std::shared_ptr<const BasemapReader> m_reader;
    std::unique_ptr<WebTiles> m_web;
    std::shared_ptr<WebSheet> m_sheet;
    std::shared_ptr<const BasemapPainter> m_painter;
    std::shared_ptr<Relay> m_relay;
    Box m_view;
    double m_metresPerPixel = 1;
    bool m_opening = false;
    QString m_word;
};

} // namespace fw
