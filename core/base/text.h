// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/// Marks a sentence of core for translation; the window translates it where it is shown.
#define CORE_TEXT(sentence) (sentence)
