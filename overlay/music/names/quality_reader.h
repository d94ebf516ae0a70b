#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/note_names.h"

#include <string_view>

// Part of ChordName::parse(): what stands behind the root. For chord_name_reader.cpp only.
namespace tabard::overlay {

/// Reads minor, major, numbers, alterations and so on. Each take_... function reads one thing and says whether it was
/// there; the first character that nobody takes is where the error points.
class QualityReader {
public:
    /// `text` in plain signs. `small`: the root was a small letter, which means minor where it may stand at all.
    QualityReader(std::string_view text, NoteNames names, bool small) : m_rest(text), m_names(names), m_small(small) {}

    /// Reads up to the bass or the end. False: stopped at rest().
    bool read(ChordName& chord);

    std::string_view rest() const { return m_rest; }

private:
    bool take(std::string_view sign);
    bool take_word(std::string_view word);
    template <class... Words>
    bool take_any(Words... words)
    {
        return (take(words) || ...);
    }
    template <class... Words>
    bool take_any_word(Words... words)
    {
        return (take_word(words) || ...);
    }
    bool take_bracket_or_space();
    bool comma_between_tones() const;
    bool take_slash_before_tone();
    bool take_family(ChordName& chord);
    bool take_minor();
    bool take_diminished(ChordName& chord);
    bool take_major();
    bool take_more(ChordName& chord);
    bool take_late_major(ChordName& chord);
    bool take_plus(ChordName& chord);
    bool take_suspension(ChordName& chord);
    bool take_added(ChordName& chord);
    bool take_omitted(ChordName& chord);
    bool take_alt(ChordName& chord);
    bool take_altered(ChordName& chord);
    int take_sign();
    bool add_altered(ChordName& chord, Interval tone) const;
    bool take_number(ChordName& chord);
    bool set_number(ChordName& chord, int number);
    bool finish(ChordName& chord);
    int take_digits();
    char next() const { return m_rest.empty() ? '\0' : m_rest.front(); }
    char after_next() const { return m_rest.size() < 2 ? '\0' : m_rest[1]; }

    std::string_view m_rest;
    NoteNames m_names;
    bool m_small;
    int m_brackets = 0;
    bool m_separated = false; ///< a bracket, space or slash stood somewhere before
    bool m_slash = false;     ///< a slash stands directly before
    bool m_major = false;     ///< the seventh, if one comes, is major
    bool m_triangle = false;
    bool m_diminished = false;
    bool m_half_diminished = false;
};

} // namespace tabard::overlay
