#pragma once
#include "pipeline/cues/cue_document.h"

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tabard::pipeline {

/// What a section with `"as": "Verse"` has from the section of that name, where it does not say it itself. Times,
/// texts and what is shown once are its own.
constexpr std::array<std::string_view, 5> kSameAgain{"meter", "tempo", "strum", "bars", "words"};

/// Why an "as" finds nothing to reuse.
struct AsProblem {
    SourcePosition at;
    std::string what;
    std::string fix; ///< empty: the nearest of `names`, or to add the section
    std::string name;
};

/// Looks through the sections of a cue file for what those with "as" reuse. Keeps places in `list`, which it outlives
/// not.
class SameAgain {
public:
    explicit SameAgain(JsonValue const& list);

    /// The section as if all were written in it; its "as" stays. What it reuses keeps its place in the file.
    JsonValue filled(std::size_t index) const;
    /// `section`, which is this one or was made of it, with what is reused in place of its "as".
    JsonValue written_out(JsonValue section, std::size_t index) const;
    /// Bytes that filled() adds, at most.
    std::size_t reused_bytes(std::size_t index) const;
    /// The member of kSameAgain that counts for a section; null where nobody says it.
    JsonValue const* value(std::size_t index, std::size_t key) const { return m_parts[index].values[key]; }
    bool same(std::size_t index, SameAgain const& other, std::size_t other_index) const;
    std::vector<AsProblem> const& problems() const { return m_problems; }
    std::vector<std::string_view> names() const;

private:
    struct Part {
        JsonValue const* json = nullptr;
        std::string_view name;
        JsonValue const* as = nullptr; ///< a text
        std::array<JsonValue const*, kSameAgain.size()> values{};
        bool settled = false;
    };
    /// Sections of one name.
    struct Namesakes {
        std::vector<std::size_t> all;
        std::optional<std::size_t> written; ///< the first with bars and without "as"
        std::vector<std::size_t> as;        ///< the first two with "as"
        bool all_as = true;
        bool named = false; ///< one says the name itself
    };

    void enter(Part const& part);
    void settle(std::size_t index);
    std::optional<std::size_t> source_of(std::size_t index);
    std::optional<std::size_t> refuse(std::size_t index, std::string what, std::string fix);
    bool plays_the_same(std::size_t a, std::size_t b) const;
    void refuse_twins();
    std::optional<std::pair<std::size_t, std::size_t>> twins(std::string_view name) const;

    std::vector<Part> m_parts;
    std::map<std::string_view, Namesakes> m_by_name;
    std::vector<AsProblem> m_problems;
};

} // namespace tabard::pipeline
