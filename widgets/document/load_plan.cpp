// SPDX-License-Identifier: GPL-3.0-or-later
// Plans from files to what the window adopts.
#include "base/text.h"
#include "document/plan_document.h"
#include "store/plan_terrain.h"
#include "store/recovery.h"

namespace fw {

namespace fs = std::filesystem;

namespace {

void forReadingOnly(LoadedPlan& loaded, std::string why) {
    loaded.readOnly = true;
    loaded.whyReadOnly = std::move(why);
}

// The right to write the plan, or why it can only be read.
Status hold(LoadedPlan& loaded, const fs::path& file, std::shared_ptr<SessionLock> ours) {
    if (ours) {
        loaded.held.lock = std::move(ours);
        return Done{};
    }
    auto taken = SessionLock::take(file);
    if (!taken) return taken.error();
    if (auto* lock = std::get_if<SessionLock>(&*taken))
        loaded.held.lock = std::make_shared<SessionLock>(std::move(*lock));
    else if (const auto* held = std::get_if<LockHolder>(&*taken)) {
        forReadingOnly(loaded, held->sentence());
        loaded.heldBy = *held;
    } else
        forReadingOnly(loaded, std::get<CannotLock>(*taken).sentence);
    return Done{};
}

Status readTerrainOf(LoadedPlan& loaded, const fs::path& origin) {
    auto terrain = loadTerrain(loaded.plan, origin);
    if (!terrain) return terrain.error();
    loaded.terrain = *terrain;
    return Done{};
}

} // namespace

Result<LoadedPlan> loadPlan(const fs::path& file, std::shared_ptr<SessionLock> ours) {
    LoadedPlan loaded;
    // First the lock, then the plan: what is read then is what the session before left.
    std::error_code failed;
    if (fs::is_regular_file(file, failed))
        if (Status s = hold(loaded, file, std::move(ours)); !s.ok()) return s.error();
    OpenPlan opened;
    auto open = PlanFile::open(file, opened);
    if (!open) return open.error();
    loaded.held.file = std::move(*open);
    if (!loaded.held.file->writable() && !loaded.readOnly)
        forReadingOnly(loaded,
                       CORE_TEXT("The plan's file or its folder may not be written, so the plan is open "
                                 "for reading only."));
    loaded.plan = std::move(opened.plan);
    loaded.path = std::move(opened.path);
    loaded.notes = std::move(opened.notes);
    if (Status s = readTerrainOf(loaded, loaded.path); !s.ok()) return s.error();
    return loaded;
}

Result<LoadedPlan> loadCopy(const fs::path& file) {
    auto opened = openPlan(file);
    if (!opened) return opened.error();
    LoadedPlan loaded;
    loaded.plan = std::move(opened->plan);
    loaded.path = std::move(opened->path);
    loaded.notes = std::move(opened->notes);
    if (Status s = readTerrainOf(loaded, loaded.path); !s.ok()) return s.error();
    return loaded;
}

Result<LoadedPlan> loadLostWork(LostWork& work, std::shared_ptr<SessionLock> ours) {
    auto back = recover(work);
    if (!back) return back.error();
    LoadedPlan loaded;
    if (!back->path.empty()) {
        if (Status s = hold(loaded, back->path, std::move(ours)); !s.ok()) return s.error();
        OpenPlan opened;
        auto open = PlanFile::open(back->path, opened);
        if (!open) return open.error();
        loaded.held.file = std::move(*open);
        // Whoever has it keeps it, and the work that was lost comes back all the same.
        if (loaded.readOnly || !loaded.held.file->writable() || opened.saveCount != back->saveCount) {
            if (!loaded.whyReadOnly.empty()) loaded.notes.push_back(loaded.whyReadOnly);
            loaded.notes.push_back(CORE_TEXT("The work came back as a copy. Save it under another name."));
            loaded.readOnly = false;
            loaded.held = {};
        }
    }
    loaded.plan = std::move(back->plan);
    loaded.path = back->path.empty() ? back->origin : back->path;
    loaded.notes.insert(loaded.notes.end(), back->notes.begin(), back->notes.end());
    loaded.replayed = std::move(back->edits);
    loaded.unsaved = true;
    if (Status s = readTerrainOf(loaded, loaded.path); !s.ok()) return s.error();
    return loaded;
}

} // namespace fw
