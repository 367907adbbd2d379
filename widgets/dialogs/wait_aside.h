// SPDX-License-Identifier: GPL-3.0-or-later
// Work that its caller waits for and the window does not: on a thread of its own, with a way to stop it.
#pragma once

#include "base/result.h"

#include <functional>
#include <stop_token>

class QString;
class QWidget;

namespace fw {

/// Does `work` on another thread and returns its answer, from an event loop of its own: figures and jobs go
/// on. Until then the window takes no input. Work that lasts longer than a glance is said to be going on in a
/// small window over `parent`, whose button (or Escape) stops it; what to do about that is the work's.
Status waitAside(QWidget* parent, const QString& what,
                 const std::function<Status(const std::stop_token&)>& work);

} // namespace fw
