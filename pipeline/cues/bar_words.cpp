#include "pipeline/cues/bar_words.h"

#include "overlay/music/names/chord_name.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kLongestBar = 200; ///< bytes of a bar that a message shows

/// Signs that look like, or are meant as, one of ASCII.
constexpr std::array<std::pair<std::string_view, char>, 23> kLookalikes{{
    {"¦", '|'}, {"│", '|'}, {"┃", '|'},  {"∣", '|'},  {"ǀ", '|'},  {"｜", '|'}, {"‖", '|'},  {"\\", '/'},
    {"∕", '/'}, {"⁄", '/'}, {"／", '/'}, {"％", '%'}, {"，", ','}, {"；", ';'}, {"、", ','}, {"–", '-'},
    {"—", '-'}, {"−", '-'}, {"→", '-'},  {"·", '-'},  {"•", '-'},  {"“", '"'},  {"”", '"'},
}};

struct PlainText {
    std::string text;
    std::vector<std::size_t> at; ///< where each byte of `text` begins in the chart
};

PlainText plain(BarWord const& word)
{
    PlainText result;
    for (std::size_t i = 0; i < word.text.size();) {
        auto const rest = std::string_view(word.text).substr(i);
        auto const sign =
            std::ranges::find_if(kLookalikes, [&](auto const& entry) { return rest.starts_with(entry.first); });
        bool const found = sign != kLookalikes.end();
        result.text += found ? sign->second : rest.front();
        result.at.push_back(word.at + i);
        i += found ? sign->first.size() : 1;
    }
    return result;
}

bool consists_of(std::string_view text, std::string_view signs)
{
    return !text.empty() && text.find_first_not_of(signs) == std::string_view::npos;
}

bool is_beats(std::string_view text) { return consists_of(text, "/"); }

bool is_one_of(std::string_view text, std::initializer_list<std::string_view> words)
{
    return std::ranges::find(words, text) != words.end();
}

/// "x2", "2x": how often to play something.
bool is_times(std::string_view text)
{
    auto const is_digits = [](std::string_view digits) { return consists_of(digits, "0123456789"); };
    bool const before = text.starts_with('x') || text.starts_with('X');
    bool const after = text.ends_with('x') || text.ends_with('X');
    return (before && is_digits(text.substr(1))) || (after && is_digits(text.substr(0, text.size() - 1)));
}

/// "1.", "2)", "[3]": the number of a bar or of a line.
bool is_ordinal(std::string_view text)
{
    auto const first = text.find_first_not_of("([");
    auto const last = text.find_last_not_of(".):]");
    return first != text.npos && last != text.npos && first <= last && last + 1 < text.size() &&
           consists_of(text.substr(first, last + 1 - first), "0123456789");
}

/// The same as a chart writes it, "x2"; empty where no repeat is played so often.
std::string times_sign(std::string_view text)
{
    std::string const digits(text.substr(text.find_first_of("0123456789"),
                                         text.find_last_of("0123456789") + 1 - text.find_first_of("0123456789")));
    auto const number = digits.size() > 2 ? 0 : std::stoi(digits);
    return number >= 2 ? fmt::format("x{}", number) : "";
}

/// Takes a word apart into what a chart knows.
class WordReader {
public:
    WordReader(BarWord const& word, KnownName const& known, overlay::NoteNames names)
        : m_word(word), m_plain(plain(word)), m_known(known), m_names(names)
    {
    }

    /// `-` stands for what is a beat or nothing.
    std::vector<BarWord> read()
    {
        if (is_sound(m_word.text) || is_times(m_word.text))
            return {m_word};
        std::string_view const text = m_plain.text;
        if (is_one_of(text, {"I", "l", "!"}))
            return {{"|", m_word.at}};
        if (consists_of(text, "-._~=>+&") || is_one_of(text, {"and", "then", "to"}) || is_ordinal(text))
            return {{"-", m_word.at}};
        if (auto const held = with_beats_in_brackets(text); !held.empty())
            return held;
        for (std::size_t begin = 0; begin <= text.size();) {
            std::size_t const end = separator_after(begin);
            add_piece(begin, end);
            if (end < text.size() && text[end] == '|')
                m_read.push_back({"|", m_plain.at[end]});
            begin = end + 1;
        }
        return std::move(m_read);
    }

private:
    bool is_sound(std::string_view text) const
    {
        return is_beats(text) || text == "%" || overlay::ChordName::parse(text, m_names) || (m_known && m_known(text));
    }

    /// "Am(4)": a chord and its beats.
    std::vector<BarWord> with_beats_in_brackets(std::string_view text) const
    {
        auto const open = text.rfind('(');
        if (open == text.npos || open + 3 != text.size() || text.back() != ')' || text[open + 1] < '1' ||
            text[open + 1] > '9' || !is_sound(text.substr(0, open)))
            return {};
        std::vector<BarWord> words{{std::string(text.substr(0, open)), m_word.at}};
        words.insert(words.end(), static_cast<std::size_t>(text[open + 1] - '1'), BarWord{"/", m_word.at});
        return words;
    }

    /// The next sign from `begin` on that can stand in no name; brackets hold theirs together ("C7(b9,#11)").
    std::size_t separator_after(std::size_t begin) const
    {
        int depth = 0;
        std::string_view const text = m_plain.text;
        for (std::size_t i = begin; i < text.size(); ++i) {
            depth += text[i] == '(' ? 1 : text[i] == ')' ? -1 : 0;
            if (depth <= 0 && std::string_view(",;|").find(text[i]) != std::string_view::npos)
                return i;
        }
        return text.size();
    }

    void add_piece(std::size_t begin, std::size_t end)
    {
        auto const piece = std::string_view(m_plain.text).substr(begin, end - begin);
        if (piece.empty() || consists_of(piece, "-._~=>+&\"'"))
            return;
        if (is_sound(piece))
            return add(begin, end);
        auto const first = piece.find_first_not_of("([{\"'`*<_.:");
        auto const last = piece.find_last_not_of(")]}\"'`*>_.:!?");
        if (first != std::string_view::npos && last != std::string_view::npos && first <= last &&
            is_sound(piece.substr(first, last + 1 - first)))
            return add(begin + first, begin + last + 1);
        if (!split(begin, end))
            add(begin, end);
    }

    /// "E-Bm7", "C//": parts that are all sound.
    bool split(std::size_t begin, std::size_t end)
    {
        std::vector<std::pair<std::size_t, std::size_t>> parts;
        std::string_view const text = m_plain.text;
        auto const name_end = std::min(text.find_last_not_of('/', end - 1) + 1, end);
        auto const name_begin = std::max(text.find_first_not_of('/', begin), begin);
        if (name_begin > begin)
            parts.emplace_back(begin, std::min(name_begin, end));
        for (std::size_t at = name_begin; at < name_end;) {
            std::size_t const next = std::min(text.find_first_of("-_~=>+&:", at), name_end);
            if (next > at)
                parts.emplace_back(at, next);
            at = next + 1;
        }
        if (name_end < end)
            parts.emplace_back(name_end, end);
        bool const sound = std::ranges::all_of(
            parts, [&](auto const& part) { return is_sound(text.substr(part.first, part.second - part.first)); });
        if (parts.size() < 2 || !sound)
            return false;
        for (auto const& [from, to] : parts)
            add(from, to);
        return true;
    }

    void add(std::size_t begin, std::size_t end)
    {
        m_read.push_back({m_plain.text.substr(begin, end - begin), m_plain.at[begin]});
    }

    BarWord const& m_word;
    PlainText m_plain;
    KnownName const& m_known;
    overlay::NoteNames m_names;
    std::vector<BarWord> m_read;
};

int beats_of(std::vector<BarWord> const& words)
{
    return std::accumulate(words.begin(), words.end(), 0, [](int sum, BarWord const& word) {
        return sum + (is_beats(word.text) ? static_cast<int>(std::min<std::size_t>(word.text.size(), 1000)) : 1);
    });
}

bool has_beats(std::vector<BarWord> const& words)
{
    return std::ranges::any_of(words, [](BarWord const& word) { return is_beats(word.text); });
}

bool adds_up(std::vector<BarWord> const& words, overlay::Meter meter)
{
    int const beats = beats_of(words);
    return (words.size() == 1 && beats == 1) || beats == meter.beats || (meter.compound() && beats == meter.pulses()) ||
           (!has_beats(words) && !even_beats(words.size(), meter).empty());
}

std::string joined(std::vector<BarWord> const& words)
{
    std::vector<std::string_view> texts;
    for (BarWord const& word : words)
        texts.push_back(word.text);
    return fmt::format("{}", fmt::join(texts, " "));
}

/// Dashes and points are beats where they fill the bar, else they only stand between chords.
void settle_dashes(std::vector<BarWord>& words, overlay::Meter meter)
{
    auto const is_dash = [](BarWord const& word) { return word.text == "-"; };
    bool const leads = !words.empty() && is_dash(words.front());
    if (!leads && beats_of(words) == meter.beats)
        std::ranges::replace_if(words, is_dash, BarWord{"/", 0});
    else
        std::erase_if(words, is_dash);
}

/// Beats of the groups of the bar, as many as there are chords; else the bar shared out, more to the first ones.
std::vector<int> spread(std::size_t chords, overlay::Meter meter)
{
    std::vector<int> groups;
    for (int beat = 0; beat < meter.beats; ++beat)
        if (meter.begins_group(beat))
            groups.push_back(1);
        else if (!groups.empty())
            ++groups.back();
    if (groups.size() == chords)
        return groups;
    int const count = static_cast<int>(chords);
    int const unit = meter.compound() && count <= meter.pulses() ? 3 : 1;
    int const beats = meter.beats / unit;
    std::vector<int> shared(chords, beats / count * unit);
    for (int i = 0; i < beats % count; ++i)
        shared[static_cast<std::size_t>(i)] += unit;
    return shared;
}

std::string with_beats(std::vector<BarWord> const& words, std::vector<int> const& beats)
{
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        text += (i == 0 ? "" : " ") + words[i].text;
        for (int beat = 1; beat < beats[i]; ++beat)
            text += " /";
    }
    return text;
}

/// A | after each full bar; none where a chord would lie across one, or where the last bar is not full: a chord alone
/// fills it.
std::optional<std::string> with_bar_lines(std::vector<BarWord> const& words, overlay::Meter meter)
{
    std::string text;
    int filled = 0;
    std::size_t in_bar = 0;
    for (BarWord const& word : words) {
        if (filled == meter.beats) {
            text += " |";
            filled = 0;
            in_bar = 0;
        }
        text += (text.empty() ? "" : " ") + word.text;
        filled += beats_of({word});
        ++in_bar;
        if (filled > meter.beats)
            return std::nullopt;
    }
    return filled == meter.beats || (in_bar == 1 && filled == 1) ? std::optional{text} : std::nullopt;
}

/// `%` stands alone in its bar.
std::string around_similes(std::vector<BarWord> const& words)
{
    std::string text;
    bool simile = false;
    for (BarWord const& word : words) {
        bool const next = word.text == "%";
        text += text.empty() ? "" : simile || next ? " | " : " ";
        text += word.text;
        simile = next;
    }
    return text;
}

} // namespace

BarWords read_bar_words(std::vector<BarWord> const& written, overlay::Meter meter, KnownName const& known,
                        overlay::NoteNames names)
{
    BarWords bar;
    for (BarWord const& word : written) {
        auto const read = WordReader(word, known, names).read();
        bool const changed = read.size() != 1 || read.front().text != word.text || word.text == "-";
        bool const times = !changed && is_times(word.text) && !(known && known(word.text));
        if (changed || times)
            bar.slip = bar.slip ? bar.slip : word;
        if (times)
            bar.times = times_sign(word.text);
        else
            bar.words.insert(bar.words.end(), read.begin(), read.end());
    }
    settle_dashes(bar.words, meter);
    return bar;
}

std::vector<int> even_beats(std::size_t chords, overlay::Meter meter)
{
    int const count = static_cast<int>(std::min<std::size_t>(chords, 1000));
    if (count == 0 || meter.beats % count != 0)
        return {};
    return std::vector<int>(chords, meter.beats / count);
}

std::optional<std::string> bar_written_right(std::vector<BarWord> const& words, overlay::Meter meter)
{
    std::string text = joined(words);
    if (words.empty() || text.size() > kLongestBar)
        return std::nullopt;
    bool const has_bar_line = std::ranges::find(words, "|", &BarWord::text) != words.end();
    if (!has_bar_line && std::ranges::find(words, "%", &BarWord::text) != words.end())
        return around_similes(words);
    if (has_bar_line || adds_up(words, meter))
        return text;
    int const beats = beats_of(words);
    if (beats > meter.beats)
        return with_bar_lines(words, meter);
    if (!has_beats(words))
        return with_beats(words, spread(words.size(), meter));
    for (int beat = beats; beat < meter.beats; ++beat)
        text += " /";
    return text;
}

} // namespace tabard::pipeline
