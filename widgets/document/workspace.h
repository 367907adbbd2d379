// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/basemap.h"
#include "canvas/shown.h"
#include "document/fringes.h"
#include "document/live_aim.h"
#include "document/live_chance.h"
#include "document/live_drag.h"
#include "document/live_indoor.h"
#include "document/live_rates.h"
#include "document/live_study.h"
#include "document/live_uplink.h"
#include "document/plan_document.h"
#include "document/selection.h"
#include "jobs/job_board.h"

namespace fw {

/// What the parts of one window share. Made before them, taken down after them.
struct Workspace {
    Workspace() {
        QObject::connect(&selection, &Selection::changed, &live,
                         [this] { live.setFocus(selection.primary()); });
    }

    PlanDocument document;
    JobBoard jobs;
    Selection selection{document};
    LiveStudy live{document, jobs};
    LiveChance chance{live, jobs};
    LiveAim aim{document, selection, live, jobs};
    LiveRates rates{live, jobs};
    LiveUplink uplink{live, jobs};
    LiveIndoor indoor{live, jobs, document, selection};
    LiveDrag drag{document, live};
    Fringes fringes{document, live, jobs};
    Shown shown;
    Basemap basemap{document, jobs};
};

} // namespace fw
