#pragma once
#include <string>
#include <utility>

#include <tl/expected.hpp>

namespace tabard {

/// One kind per reaction of a caller: `cli` maps it to an exit code.
enum class ErrorKind {
    invalid_input, ///< what the user wrote or asked for cannot be understood
    not_found,     ///< a file that is not there
    unsupported,   ///< understood, but not something we can do
    decode,        ///< media that is broken beyond concealment
    io,            ///< disk, permission or encoder failed while working
    interrupted,   ///< the user asked to stop
};

/// What went wrong, for a person: one or two sentences that name the file, cue or time and say what to do.
struct Error {
    ErrorKind kind = ErrorKind::invalid_input;
    std::string what;
    friend bool operator==(Error const&, Error const&) = default;
};

/// A value or the reason why there is none. `tl::expected` (the shape of C++23's std::expected) that cannot be
/// ignored and converts from an Error.
template <class T>
class [[nodiscard]] Result : public tl::expected<T, Error> {
public:
    using tl::expected<T, Error>::expected;
    Result(Error error) : tl::expected<T, Error>(tl::unexpect, std::move(error)) {}
    /// Of the class itself: the templates of the base are ambiguous for a derived class in C++20.
    friend bool operator==(Result const& a, Result const& b)
    {
        using Base = tl::expected<T, Error>;
        return static_cast<Base const&>(a) == static_cast<Base const&>(b);
    }
};

} // namespace tabard

#define TABARD_JOIN_(a, b) a##b
#define TABARD_JOIN(a, b) TABARD_JOIN_(a, b)

/// `TRY_ASSIGN(auto cues, read(path));` declares `cues`, or returns the error from the enclosing function.
#define TRY_ASSIGN(declaration, expression)                                                                            \
    auto TABARD_JOIN(try_result_, __LINE__) = (expression);                                                            \
    if (!TABARD_JOIN(try_result_, __LINE__))                                                                           \
        return std::move(TABARD_JOIN(try_result_, __LINE__)).error();                                                  \
    declaration = *std::move(TABARD_JOIN(try_result_, __LINE__))

/// `TRY_VOID(write(path));` returns the error from the enclosing function, if there is one.
#define TRY_VOID(expression)                                                                                           \
    do {                                                                                                               \
        if (auto try_result = (expression); !try_result)                                                               \
            return std::move(try_result).error();                                                                      \
    } while (false)
