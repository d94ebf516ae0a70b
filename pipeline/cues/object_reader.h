#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/finding.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/cues/reader.h"

#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// What the readers of all parts of one cue file share.
class ReadContext {
public:
    ReadContext(std::string_view text, LessonReadOptions const& options) : m_text(text), m_options(options) {}

    void error(std::string_view code, SourcePosition at, std::string what, std::string fix);
    void warning(std::string_view code, SourcePosition at, std::string what, std::string fix);
    void add_all(std::vector<Finding> findings);
    std::vector<Finding> take_findings();

    /// The place of every byte of a string of the file, see string_places().
    std::vector<SourcePosition> places_of(JsonValue const& string);
    /// "did you mean 'x'?" for the nearest candidate, else `otherwise`. Looks only for the first of many mistakes: a
    /// file of a hundred thousand is not worth the time.
    std::string suggestion(std::string_view word, std::span<std::string_view const> candidates, std::string otherwise);
    /// Where the footage is, for the frame rate that labels with frames are read at.
    void set_footage(std::filesystem::path footage) { m_footage = std::move(footage); }
    void set_rate(FrameRate rate) { m_rate = rate; }
    /// A time written as text or number; negative ones only where `sign` allows them.
    enum class Sign { positive, any };
    /// `before` and `after`: what stands beside it in the same text, so that what is advised is all of that text.
    std::optional<Sourced<Time>> time(JsonValue const& value, Sign sign = Sign::positive, std::string_view before = "",
                                      std::string_view after = "");
    bool wants_times() const { return m_options.charts == Charts::timed; }
    /// Names that the file defines, though not soundly: what uses them is no second mistake.
    void add_broken_strum(std::string name) { m_broken_strums.insert(std::move(name)); }
    bool is_broken_strum(std::string const& name) const { return m_broken_strums.contains(name); }
    /// The strum of sections that name none; empty for none.
    void set_default_strum(Sourced<std::string> name) { m_default_strum = std::move(name); }
    Sourced<std::string> const& default_strum() const { return m_default_strum; }
    /// Counts a section, cue, pin or bar; false (and one finding) from the first that is too many on.
    bool count_cues(std::size_t cues, SourcePosition at);

private:
    void add(Finding finding);
    std::optional<FrameRate> rate();

    std::string_view m_text;
    LessonReadOptions const& m_options;
    std::filesystem::path m_footage;
    std::optional<FrameRate> m_rate;
    bool m_rate_asked = false;
    std::size_t m_cues = 0;
    std::size_t m_suggestions = 0;
    std::set<std::string> m_broken_strums;
    Sourced<std::string> m_default_strum;
    std::vector<std::size_t> m_line_starts;
    std::vector<Finding> m_findings;
};

/// "a text", "a list": what a value is, for messages.
std::string_view kind_name(JsonValue::Kind kind);

/// Reads the members of one object: each value is taken once by its key; what nobody took is an unknown key.
class ObjectReader {
public:
    /// `what` names the object in messages: "a part". Reports a value that is no object and then has no members.
    ObjectReader(ReadContext& context, JsonValue const& object, std::string_view what);

    SourcePosition at() const { return m_object.at; }
    bool has(std::string_view key) const { return m_object.find(key) != nullptr; }

    JsonValue const* take(std::string_view key);
    /// For tables whose keys are names of the author's.
    void take_all() { m_all_known = true; }
    /// None, with a finding, where the member is of another kind.
    JsonValue const* take(std::string_view key, JsonValue::Kind kind);
    std::optional<Sourced<std::string>> string(std::string_view key);
    std::optional<Sourced<bool>> boolean(std::string_view key);
    std::optional<Sourced<int>> integer(std::string_view key, int least, int most);
    std::optional<Sourced<Time>> time(std::string_view key);
    std::optional<Sourced<overlay::Meter>> meter(std::string_view key);
    std::optional<Sourced<Tempo>> tempo(std::string_view key);
    std::optional<Sourced<Placement>> placement(std::string_view key);
    std::optional<Level> level(std::string_view key);
    /// Reported by finish(), where another key stands for it.
    void missing(std::string_view key, std::string fix);
    /// Whether another word stands where this key is meant.
    bool has_stand_in(std::string_view key) const { return stand_in(key) != nullptr; }
    /// Reports keys that are missing, that nobody asked for, and that stand twice.
    void finish();

private:
    struct Missing {
        std::string_view key;
        std::string fix;
    };
    bool is_known(std::string_view key) const;
    std::vector<std::string_view> unused_keys() const;
    JsonValue::Member const* stand_in(std::string_view key) const;
    void report_missing(Missing const& missing);
    void report_unknown(JsonValue::Member const& member);

    ReadContext& m_context;
    JsonValue const& m_object;
    std::string_view m_what;
    std::vector<std::string_view> m_known{"note"};
    std::vector<Missing> m_missing;
    std::set<JsonValue::Member const*> m_told; ///< unknown keys that a finding has named
    bool m_all_known = false;
};

/// The members of a table, each key once, without "note".
std::vector<JsonValue::Member const*> table_entries(JsonValue const& object);

/// One of a few words, or none with a finding that lists them.
std::optional<std::size_t> one_of(ReadContext& context, JsonValue const& value, std::string_view key,
                                  std::vector<std::string_view> const& words);

void read_shapes(ReadContext& context, JsonValue const& object, Lesson& lesson);
void read_strums(ReadContext& context, JsonValue const& object, Lesson& lesson);
/// The strum of a section or of the lesson, by its key "strum". None for "none", which says that there is no strum, and
/// for a name that is none, with a finding.
std::optional<Sourced<std::string>> read_strum_name(ReadContext& context, ObjectReader& reader, Lesson const& lesson);
/// A place in the bars, or none with a finding.
std::optional<BarPosition> read_position(ReadContext& context, JsonValue const& value, overlay::Meter meter);
/// Pins rise in place and in time; one that does not is reported and left out.
void read_pins(ReadContext& context, JsonValue const& list, Section& section);
/// Reports pins that skip to where the section has no bars any more.
void check_skips(ReadContext& context, Section const& section);
/// The lesson's own meter, tempo, shapes and strums are read before its sections.
/// `has_tempo`: the lesson says one, soundly or not.
void read_sections(ReadContext& context, JsonValue const& list, Lesson& lesson, bool has_tempo);

} // namespace tabard::pipeline
