// SPDX-License-Identifier: GPL-3.0-or-later
// Any text as a number, a length, a place, a share, an hour: refused by a clause that quotes it, or a value
// in its range that reads the same when written plainly. From the seeds a minute on two busy cores reaches
// 1250 edges.
#include "intake/value_reader.h"

#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>

using namespace fw;

namespace {

void demand(bool met, const char* what) {
    if (met) return;
    std::fprintf(stderr, "%s\n", what);
    std::abort();
}

template <class T>
bool read(const Result<T>& r) {
    if (!r) demand(!r.error().text.empty() && r.error().text.front() == '"', "a refusal quotes nothing");
    return r.ok();
}

void numbers(std::string_view text, NumberStyle style) {
    const auto v = numberFrom(text, style);
    if (read(v)) {
        demand(std::isfinite(*v), "a number is not finite");
        const auto again = numberFrom(fmt::format("{}", *v));
        demand(again.ok() && *again == *v, "a number does not come back");
        const auto q = quantityFrom(text, style);
        demand(q.ok() && q->value == *v && q->unit.empty(), "a number is no quantity");
        demand(lengthFrom(text, style).ok(), "a number is no length");
    }
    if (const auto length = lengthFrom(text, style); read(length))
        demand(std::isfinite(*length) || !v, "length");
    for (const bool percent : {false, true})
        if (const auto share = shareFrom(text, style, percent); read(share))
            demand(*share >= 0 && *share <= 1, "a share is out of range");
}

void places(std::string_view text) {
    for (const Axis axis : {Axis::latitude, Axis::longitude}) {
        const auto v = coordinateFrom(text, {}, axis);
        if (!read(v)) continue;
        demand(std::fabs(*v) <= (axis == Axis::latitude ? 90 : 180), "a place is out of range");
        const auto again = coordinateFrom(fmt::format("{:.17f}", *v), {}, axis);
        demand(again.ok() && std::fabs(*again - *v) < 1e-15, "a place does not come back");
    }
}

void hours(std::string_view text, DateOrder order) {
    const auto h = hourFrom(text, order);
    if (!read(h)) return;
    demand(h->hour >= 0 && h->hour < 24 && h->minute >= 0 && h->minute < 60, "an hour is out of range");
    demand(!h->offsetMinutes || std::abs(*h->offsetMinutes) < 15 * 60, "an offset is out of range");
    const auto again =
        hourFrom(fmt::format("{} {:02}:{:02}", dayText(h->day), h->hour, h->minute), DateOrder::yearFirst);
    demand(again.ok() && again->day == h->day && again->hour == h->hour && again->minute == h->minute,
           "an hour does not come back");
    demand(weekday(h->day) >= 0 && weekday(h->day) < 7, "a weekday is out of range");
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    const NumberStyle kStyles[] = {{'.', '\0'}, {',', '.'}, {'.', ','}, {',', ' '}, {'.', '\''}};
    for (const NumberStyle style : kStyles) numbers(text, style);
    places(text);
    for (const DateOrder order : {DateOrder::yearFirst, DateOrder::dayFirst, DateOrder::monthFirst}) {
        hours(text, order);
        (void)read(hourFrom("2026-03-29", text, order));
    }
    (void)read(yesFrom(text));
    const auto cut = text.find('\n');
    const std::vector<std::string> samples = {text.substr(0, cut),
                                              cut == std::string::npos ? "" : text.substr(cut + 1)};
    const NumberStyle style = numberStyleOf(samples, ';');
    demand(style.decimal != style.thousands, "one sign means two things");
    (void)eitherMeaning(samples, style.decimal);
    (void)dateOrderOf(samples);
    return 0;
}
