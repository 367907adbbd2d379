// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/recovery.h"

#include "store/journal_file.h"
#include "store/plan_file.h"
#include "store/this_process.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <fmt/format.h>
#include <fstream>

namespace fw {

namespace {

namespace fs = std::filesystem;
using State = LostWork::State;

constexpr std::size_t kMostJournals = 1000;

// What tells one state of a plan file from another.
struct FileMark {
    std::string uid;
    std::int64_t saveCount = 0;
};

Result<FileMark> markOf(const fs::path& planFile) {
    auto db = Database::open(planFile, Database::Mode::read);
    if (!db) return db.error();
    for (const char* table : {"fringewright_meta", "settings"}) {
        const auto there = db->hasTable(table);
        if (!there) return there.error();
        if (!*there) return Error{ErrorCode::cannotRead, "It is not a plan any more.", planFile.string()};
    }
    auto uid = db->prepare("SELECT substr(value, 1, 5000) FROM settings WHERE name='uid'");
    if (!uid) return uid.error();
    const auto row = uid->step();
    if (!row) return row.error();
    FileMark mark;
    if (*row) mark.uid = uid->text(0);
    const auto count =
        db->number("SELECT coalesce((SELECT value FROM fringewright_meta WHERE name='save_count'), 0)");
    if (!count) return count.error();
    mark.saveCount = *count;
    return mark;
}

// ---- the mark of declined work: a line beside the journal, "TIME COUNT"

struct Declined {
    std::string at;
    std::int64_t fileCount = -1; ///< of the plan file then; -1 unknown
};

fs::path declinedFileOf(const fs::path& journal) { return fs::path(journal) += ".declined"; }

std::optional<Declined> declinedOf(const fs::path& journal) {
    std::ifstream in(declinedFileOf(journal), std::ios::binary);
    if (!in) return std::nullopt;
    std::array<char, 100> line{};
    in.read(line.data(), line.size());
    const std::string_view text(line.data(), static_cast<std::size_t>(in.gcount()));
    Declined d;
    d.at = std::string(text.substr(0, text.find_first_of(" \n")));
    const std::size_t blank = text.find(' ');
    if (blank != std::string_view::npos)
        std::from_chars(text.data() + blank + 1, text.data() + text.size(), d.fileCount);
    return d;
}

// ---- one journal

std::uintmax_t sizeOf(const fs::path& file) {
    std::error_code failed;
    const std::uintmax_t n = fs::file_size(file, failed);
    return failed ? 0 : n;
}

LostWork damagedWork(LostWork work, const Error& e) {
    work.state = State::damaged;
    work.sentence =
        e.code == ErrorCode::newer
            ? e.text
            : fmt::format("What is in this journal cannot be read. {} The file was left as it is.", e.text);
    return work;
}

// The row after which edits are lost, and the state; nothing is said yet where all is well.
Result<std::int64_t> placeIn(JournalReader& reader, LostWork& work, std::int64_t& fileCount) {
    work.state = State::ready;
    if (work.planFile.empty()) {
        std::error_code failed;
        if (fs::is_regular_file(baseFileOf(work.journal), failed)) return 0;
        work.state = State::fileGone;
        work.sentence = "The plan had no file yet, and the copy beside its journal is gone.";
        return 0;
    }
    const auto mark = markOf(work.planFile);
    if (!mark) {
        work.state = State::fileGone;
        work.sentence =
            fmt::format("The plan cannot be read where it was: {} Put it back, then the work can be "
                        "brought back.",
                        mark.error().text);
        return 0;
    }
    fileCount = mark->saveCount;
    const auto start = reader.startFor(fileCount);
    if (!start) return start.error();
    const auto declined = declinedOf(work.journal);
    // A count alone could be met by a later save of somebody else's: after a save was broken off, the work
    // declined, and the plan worked on.
    const bool movedOn = declined && declined->fileCount >= 0 && declined->fileCount != mark->saveCount;
    if (*start && !movedOn && mark->uid == work.planUid) return **start;
    work.state = State::fileChanged;
    work.sentence =
        mark->uid == work.planUid
            ? "The plan was saved by somebody else after this session. What was done in it can be "
              "brought back onto a copy, as far as it still fits."
            : "Another plan lies where this one was. What was done can be tried on a copy of it.";
    return 0;
}

struct FoundJournal {
    LostWork work;
    std::int64_t after = 0;
    std::int64_t fileCount = 0;          ///< saves of the plan file, where there is one
    std::optional<JournalReader> reader; ///< empty: damaged
    bool nothing = false;                ///< no work in it
};

FoundJournal lookAt(const fs::path& journal) {
    FoundJournal looked;
    LostWork& work = looked.work;
    work.journal = journal;
    work.bytes = sizeOf(journal);
    const auto declined = declinedOf(journal);
    if (declined) work.declinedAt = declined->at;
    auto reader = JournalReader::open(journal);
    if (!reader) {
        looked.nothing = JournalReader::isEmpty(journal);
        work = damagedWork(std::move(work), reader.error());
        return looked;
    }
    const JournalHead& head = reader->head();
    work.planName = head.planName;
    work.planUid = head.planUid;
    work.planFile = head.planFile;
    work.origin = head.origin;
    work.saveCount = head.saveCount;
    work.user = head.user;
    work.version = head.version;
    work.since = head.since;
    const auto after = placeIn(*reader, work, looked.fileCount);
    auto summary = after ? reader->summaryAfter(*after) : Result<JournalReader::Summary>(after.error());
    if (!summary) {
        work = damagedWork(std::move(work), summary.error());
        return looked;
    }
    work.edits = summary->edits;
    work.lastEdit = summary->lastTime;
    work.texts = std::move(summary->texts);
    looked.nothing = work.edits == 0 && !head.unsavedBase;
    looked.after = *after;
    looked.reader = std::move(*reader);
    return looked;
}

std::vector<fs::path> filesEndingIn(const fs::path& folder, std::string_view end) {
    std::vector<fs::path> files;
    std::error_code failed;
    for (fs::directory_iterator it(folder, failed), last;
         !failed && it != last && files.size() < kMostJournals; it.increment(failed)) {
        std::error_code unknown;
        if (it->path().filename().string().ends_with(end) && it->is_regular_file(unknown) &&
            !it->is_symlink(unknown))
            files.push_back(it->path());
    }
    std::sort(files.begin(), files.end());
    return files;
}

std::vector<fs::path> abandonedIn(const fs::path& folder) {
    std::vector<fs::path> files = filesEndingIn(folder, ".journal");
    std::erase_if(files, [](const fs::path& f) { return SessionLock::holderOf(f).has_value(); });
    return files;
}

Status removeAll(const fs::path& journal) {
    std::error_code failed, ignored;
    const fs::path base = baseFileOf(journal);
    // The journal first: what is left without it is nobody's work.
    fs::remove(journal, failed);
    if (failed)
        return Error{ErrorCode::cannotWrite,
                     fmt::format("The journal cannot be deleted ({}).", failed.message()), journal.string()};
    for (const fs::path& f : {fs::path(journal) += "-journal", declinedFileOf(journal), base,
                              fs::path(base) += "-journal", fs::path(base) += ".part"})
        fs::remove(f, ignored);
    return Done{};
}

// The lock of a journal, so that no two sessions bring back or delete the same work.
Result<std::shared_ptr<SessionLock>> lockOf(const LostWork& work) {
    if (work.lock) return work.lock;
    auto lock = SessionLock::take(work.journal);
    if (!lock) return lock.error();
    if (auto* taken = std::get_if<SessionLock>(&*lock))
        return std::make_shared<SessionLock>(std::move(*taken));
    return Error{ErrorCode::cannotRead,
                 "Another window is just bringing this work back, or it cannot be locked.",
                 work.journal.string()};
}

void replay(JournalReader& reader, std::int64_t after, std::int64_t edits, Recovered& r) {
    std::string why;
    const Status read = reader.forEachAfter(after, [&](Edit edit) {
        const auto inverse = apply(r.plan, edit);
        if (inverse) {
            r.edits.push_back(std::move(edit));
            return true;
        }
        why = fmt::format("\"{}\" does not fit the plan any more. {}", edit.text.substr(0, 200),
                          inverse.error().sentence());
        return false;
    });
    if (!read.ok()) why = read.error().sentence();
    r.recorded = std::max(edits, static_cast<std::int64_t>(r.edits.size()));
    if (!why.empty())
        r.notes.push_back(
            fmt::format("{} of {} steps came back; there it stopped: {}", r.edits.size(), r.recorded, why));
}

} // namespace

std::vector<LostWork> findLostWork(const fs::path& folder) try {
    std::vector<LostWork> found;
    for (const fs::path& journal : abandonedIn(folder)) {
        FoundJournal looked = lookAt(journal);
        if (!looked.nothing) found.push_back(std::move(looked.work));
    }
    const auto latest = [](const LostWork& w) -> const std::string& {
        return w.lastEdit.empty() ? w.since : w.lastEdit;
    };
    std::stable_sort(found.begin(), found.end(),
                     [&](const LostWork& a, const LostWork& b) { return latest(a) > latest(b); });
    return found;
} catch (const std::exception&) {
    return {}; // out of memory or a name that is none: better to start without recovery than not to start
}

Result<Recovered> recover(LostWork& work) try {
    auto lock = lockOf(work);
    if (!lock) return lock.error();
    std::error_code failed;
    if (!fs::exists(work.journal, failed))
        return Error{ErrorCode::notFound,
                     "The journal is gone; another window may have brought its work back.",
                     work.journal.string()};
    FoundJournal looked =
        lookAt(work.journal); // anew: the plan may have been put back, or saved, since it was listed
    const LostWork& now = looked.work;
    if (!looked.reader || now.state == State::fileGone || now.state == State::damaged)
        return Error{now.state == State::damaged ? ErrorCode::damaged : ErrorCode::notFound, now.sentence,
                     now.journal.string()};
    const bool hasFile = !now.planFile.empty();
    auto open = openPlan(hasFile ? now.planFile : baseFileOf(now.journal));
    if (!open) return open.error();
    Recovered r;
    r.plan = std::move(open->plan);
    r.notes = std::move(open->notes);
    r.origin = hasFile ? now.planFile : now.origin;
    if (now.state == State::fileChanged) r.notes.push_back(now.sentence);
    if (hasFile && now.state == State::ready) {
        if (open->saveCount != looked.fileCount)
            return Error{ErrorCode::cannotRead,
                         "The plan was saved by another window this moment. Try again.",
                         now.planFile.string()};
        r.path = now.planFile;
        r.saveCount = open->saveCount;
    }
    replay(*looked.reader, looked.after, now.edits, r);
    work = std::move(looked.work);
    work.lock = std::move(*lock);
    return r;
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotRead, fmt::format("The work cannot be brought back: {}.", e.what()),
                 work.journal.string()};
}

Status decline(LostWork& work) try {
    std::int64_t count = -1;
    if (!work.planFile.empty())
        if (const auto mark = markOf(work.planFile)) count = mark->saveCount;
    const std::string now = utcText(std::chrono::system_clock::now());
    std::ofstream out(declinedFileOf(work.journal), std::ios::binary | std::ios::trunc);
    out << fmt::format("{} {}\n", now, count) << std::flush;
    if (!out)
        return Error{ErrorCode::cannotWrite,
                     "It cannot be noted that this work is not wanted; it will be offered again.",
                     work.journal.string()};
    work.declinedAt = now;
    return Done{};
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotWrite, e.what(), work.journal.string()};
}

Status forget(const LostWork& work) try {
    const auto lock = lockOf(work);
    if (!lock) return lock.error();
    return removeAll(work.journal);
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotWrite, e.what(), work.journal.string()};
}

void clearOldWork(const fs::path& folder, std::chrono::system_clock::time_point now) try {
    const std::string limit = utcText(now - std::chrono::hours(24 * kDeclinedDays));
    for (const fs::path& journal : abandonedIn(folder)) {
        const auto declined = declinedOf(journal);
        if (declined ? declined->at >= limit || declined->at.empty() : !lookAt(journal).nothing) continue;
        LostWork work;
        work.journal = journal;
        (void)forget(work);
    }
    // A base whose journal was never made, or is gone.
    for (const fs::path& base : filesEndingIn(folder, ".base.gpkg")) {
        std::string name = base.filename().string();
        name.resize(name.size() - std::string_view(".base.gpkg").size());
        const fs::path journal = folder / (name + ".journal");
        std::error_code failed;
        if (fs::exists(journal, failed) || failed || SessionLock::holderOf(journal)) continue;
        fs::remove(base, failed);
    }
} catch (const std::exception&) {
    return; // it can wait for the next start
}

} // namespace fw
