#pragma once
#include <compare>
#include <utility>

namespace tabard::pipeline {

/// A place in a text file: both count from 1, columns in bytes as the GNU error format has them. {0, 0}: no place.
struct SourcePosition {
    int line = 0;
    int column = 0;
    friend auto operator<=>(SourcePosition const&, SourcePosition const&) = default;
};

/// A value and where its author wrote it; the place of the enclosing object where a default stands in.
/// Compares by value alone: a cue file that was only laid out anew says the same.
template <class T>
struct Sourced {
    T value{};
    SourcePosition at;
    T const& operator*() const { return value; }
    T const* operator->() const { return &value; }
    friend bool operator==(Sourced const& a, Sourced const& b) { return a.value == b.value; }
};

} // namespace tabard::pipeline
