// SPDX-License-Identifier: GPL-3.0-or-later
// The looks that tables and panels share. Colours are the program's, and once given follow it from day to
// night by themselves; sizes come from the font.
#pragma once

#include "review/finding.h"

#include <QPainter>

class QLabel;
class QTableView;
class QWidget;

namespace fw {

/// Quiet rows, no grid, whole rows chosen, right height for the font.
void lookLikeTable(QTableView& view);
/// Second voice.
void lookSoft(QLabel& label);
/// A sentence that refuses a value, under where it was entered.
void lookRefused(QLabel& label);
/// Base colours of the bench for a panel and what is in it.
void lookLikePanel(QWidget& panel);

/// block: filled square; warn: half-filled; note: hollow. In one ink, so that shape carries it.
void paintSeverity(QPainter& painter, const QRectF& box, Severity severity, const QColor& ink);

} // namespace fw
