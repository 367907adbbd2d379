// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <utility>
#include <variant>

namespace fw {

enum class ErrorCode {
    badInput,    ///< what the user gave cannot be used
    notFound,    ///< a file or an item is not there
    cannotRead,  ///< a file is there and cannot be read or is not what it should be
    cannotWrite, ///< a file cannot be written
    newer,       ///< written by a newer version of the program
    damaged,     ///< is ours and broken
    cancelled,   ///< the user stopped it
    internal,    ///< our fault
};

/// A sentence a user can act on: what happened, to which item, what to do. `context` says where (a path, a
/// row, an item's name); it is shown before the text.
struct Error {
    ErrorCode code = ErrorCode::internal;
    std::string text;
    std::string context = {};

    [[nodiscard]] std::string sentence() const { return context.empty() ? text : context + ": " + text; }
};
/// What the user gave cannot be: the sentence, and where that is unless the sentence says so.
inline Error badInput(std::string text, std::string context = {}) {
    return {ErrorCode::badInput, std::move(text), std::move(context)};
}

/// A value or the reason why there is none. No exception leaves core; this is how failure travels.
template <class T>
class [[nodiscard]] Result {
public:
    Result(T value) : m_v(std::in_place_index<0>, std::move(value)) {}
    Result(Error error) : m_v(std::in_place_index<1>, std::move(error)) {}

    [[nodiscard]] bool ok() const { return m_v.index() == 0; }
    explicit operator bool() const { return ok(); }

    T& value() & { return std::get<0>(m_v); }
    const T& value() const& { return std::get<0>(m_v); }
    T&& value() && { return std::get<0>(std::move(m_v)); }
    T& operator*() & { return value(); }
    const T& operator*() const& { return value(); }
    T&& operator*() && { return std::move(*this).value(); }
    T* operator->() { return &value(); }
    const T* operator->() const { return &value(); }

    [[nodiscard]] const Error& error() const { return std::get<1>(m_v); }

private:
    std::variant<T, Error> m_v;
};

struct Done {};
/// For work that has no value to give back.
using Status = Result<Done>;

} // namespace fw
