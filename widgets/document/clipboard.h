// SPDX-License-Identifier: GPL-3.0-or-later
// Copy, cut, paste and duplicate. On the clipboard lie our own JSON (application/json), CSV and GeoJSON (also
// as plain text), so that a copy can go into a plan, a table and a mail.
#pragma once

#include "document/workspace.h"
#include "plan/edit_makers.h"

#include <QMimeData>

#include <memory>
#include <optional>

namespace fw {

std::unique_ptr<QMimeData> mimeOf(const CopiedItems& copied, const Frame& frame);
/// Refused by a sentence where the data is not ours or broken.
Result<CopiedItems> copiedFrom(const QMimeData* data);
/// Whether pasting is worth offering; reads as little as it can.
bool canPaste(const QMimeData* data);

/// Each does all of it, or nothing and gives the reason, which is also sent as PlanDocument::refused().
Status copySelection(Workspace& space);
Status cutSelection(Workspace& space);
/// With its middle at `at`; without, beside where it was copied. What came is chosen.
Status pasteInto(Workspace& space, std::optional<PlanePoint> at);
Status duplicateSelection(Workspace& space);

} // namespace fw
