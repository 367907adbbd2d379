// SPDX-License-Identifier: GPL-3.0-or-later
// FW_SANITIZED is defined where a sanitizer watches memory or threads; either compiler says so in its own
// way.
#pragma once

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define FW_SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define FW_SANITIZED 1
#endif
#endif
