// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/clipboard.h"

#include "base/text.h"
#include "delivery/copied_text.h"

#include <QClipboard>
#include <QGuiApplication>

namespace fw {

namespace {

const QString kJson = QStringLiteral("application/json"), kCsv = QStringLiteral("text/csv"),
              kGeoJson = QStringLiteral("application/geo+json");

constexpr PlanePoint kBeside{10, -10};

Status refused(Workspace& space, Error error) {
    emit space.document.refused(QString::fromStdString(error.sentence()));
    return error;
}

QByteArray bytes(const std::string& s) { return QByteArray::fromStdString(s); }

// A second copy beside the first does not lie on it.
PlanePoint freeStep(const Plan& plan, const CopiedItems& copied) {
    for (int k = 1; k < 50; ++k) {
        const PlanePoint by = kBeside * k;
        bool taken = false;
        for (const Item& item : copied.items)
            if (const Mount* m = std::get_if<Mount>(&item))
                for (const Mount& there : plan.mounts)
                    taken = taken || planeDistance(there.at, m->at + by) < 1;
        if (!taken) return by;
    }
    return kBeside;
}

Status take(Workspace& space, Result<Pasted> pasted) {
    if (!pasted) return refused(space, pasted.error());
    if (auto done = space.document.perform(pasted->edit); !done) return done;
    space.selection.set(pasted->items);
    return Done{};
}

} // namespace

std::unique_ptr<QMimeData> mimeOf(const CopiedItems& copied, const Frame& frame) {
    auto data = std::make_unique<QMimeData>();
    const QByteArray geo = bytes(copiedGeoJson(copied, frame));
    data->setData(kJson, bytes(copiedJson(copied)));
    data->setData(kCsv, bytes(copiedCsv(copied, frame)));
    data->setData(kGeoJson, geo);
    data->setText(QString::fromUtf8(geo));
    return data;
}

Result<CopiedItems> copiedFrom(const QMimeData* data) {
    if (!data) return copiedFromJson({});
    // Through a mail or a note our JSON comes back as plain text.
    const QByteArray json = data->hasFormat(kJson) ? data->data(kJson) : data->text().toUtf8();
    return copiedFromJson({json.constData(), static_cast<std::size_t>(json.size())});
}

bool canPaste(const QMimeData* data) {
    if (!data) return false;
    if (data->hasFormat(kJson)) return data->data(kJson).left(400).contains(kCopiedSchema);
    return data->hasText() && data->text().left(400).contains(QLatin1String(kCopiedSchema));
}

Status copySelection(Workspace& space) {
    if (!space.document.isOpen()) return refused(space, {ErrorCode::badInput, CORE_TEXT("No plan is open.")});
    const CopiedItems copied = copyItems(space.document.plan(), space.selection.items());
    if (copied.empty())
        return refused(space, {ErrorCode::badInput,
                               CORE_TEXT("There is nothing to copy. Choose mounts, congestion areas, fibre "
                                         "points or power taps first.")});
    QGuiApplication::clipboard()->setMimeData(mimeOf(copied, space.document.frame()).release());
    return Done{};
}

Status cutSelection(Workspace& space) {
    if (auto done = copySelection(space); !done) return done;
    const CopiedItems copied = copyItems(space.document.plan(), space.selection.items());
    // What was copied goes: of a chosen radio the mount it came with.
    std::vector<ItemId> taken;
    for (const Item& item : copied.items)
        if (!std::holds_alternative<Radio>(item) && !std::holds_alternative<SmallCell>(item) &&
            !std::holds_alternative<SiteWorks>(item))
            taken.push_back(idOf(item));
    const auto edit = removeItems(space.document.plan(), taken);
    if (!edit) return refused(space, edit.error());
    return space.document.perform(*edit);
}

Status pasteInto(Workspace& space, std::optional<PlanePoint> at) {
    if (!space.document.isOpen()) return refused(space, {ErrorCode::badInput, CORE_TEXT("No plan is open.")});
    const auto copied = copiedFrom(QGuiApplication::clipboard()->mimeData());
    if (!copied) return refused(space, copied.error());
    const Plan& plan = space.document.plan();
    if (!at && copied->epsg != plan.settings->epsg)
        return refused(space,
                       {ErrorCode::badInput,
                        CORE_TEXT("This was copied in another coordinate system. Point at the place on "
                                  "the map where it shall go, then paste.")});
    return take(space, pasteItems(plan, *copied, at ? *at - middleOf(*copied) : freeStep(plan, *copied)));
}

Status duplicateSelection(Workspace& space) {
    if (!space.document.isOpen()) return refused(space, {ErrorCode::badInput, CORE_TEXT("No plan is open.")});
    const Plan& plan = space.document.plan();
    const std::vector<ItemId>& items = space.selection.items();
    return take(space, duplicateItems(plan, items, freeStep(plan, copyItems(plan, items))));
}

} // namespace fw
