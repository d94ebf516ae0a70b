#include "pipeline/desk/file/journal.h"

#include "pipeline/desk/view/lesson_view.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/private_file.h"

#include <array>
#include <charconv>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostBytes = std::size_t{256} << 20;
constexpr std::int64_t kLong = std::int64_t{24} << 20; // longer: the older half goes
constexpr std::size_t kDigest = 32;
constexpr char kWritten = 'w';
constexpr std::array<std::pair<JournalEntry::Kind, char>, 3> kLetters{
    {{JournalEntry::Kind::edit, 'e'}, {JournalEntry::Kind::undo, 'u'}, {JournalEntry::Kind::redo, 'r'}}};

/// "LENGTH DIGEST\nPAYLOAD\n": one that was not finished, or not brought to the disk whole, is told by its digest.
std::string record(std::string_view payload)
{
    return fmt::format("{} {}\n{}\n", payload.size(), text_digest(payload), payload);
}

std::string record(JournalEntry const& entry)
{
    char letter = 'e';
    for (auto const& [kind, one] : kLetters)
        letter = kind == entry.kind ? one : letter;
    return record(fmt::format("{} {} {} {} {} {}\n{}{}{}", letter, entry.before, entry.after, entry.splice.offset,
                              entry.splice.old_bytes.size(), entry.splice.new_bytes.size(), entry.splice.old_bytes,
                              entry.splice.new_bytes, entry.what));
}

/// Takes pieces off the front of a text.
class Pieces {
public:
    explicit Pieces(std::string_view text) : m_rest(text) {}
    std::string_view rest() const { return m_rest; }
    std::optional<std::string_view> bytes(std::size_t count)
    {
        if (count > m_rest.size())
            return std::nullopt;
        std::string_view const piece = m_rest.substr(0, count);
        m_rest.remove_prefix(count);
        return piece;
    }
    bool sign(char wanted)
    {
        auto const found = bytes(1);
        return found && found->front() == wanted;
    }
    std::optional<std::size_t> number()
    {
        std::size_t value = 0;
        auto const [end, failed] = std::from_chars(m_rest.data(), m_rest.data() + m_rest.size(), value);
        if (failed != std::errc{})
            return std::nullopt;
        m_rest.remove_prefix(static_cast<std::size_t>(end - m_rest.data()));
        return value;
    }

private:
    std::string_view m_rest;
};

/// The payload of the record that `pieces` begin with.
std::optional<std::string_view> read_record(Pieces& pieces)
{
    auto const length = pieces.number();
    if (!length || !pieces.sign(' '))
        return std::nullopt;
    auto const digest = pieces.bytes(kDigest);
    if (!digest || !pieces.sign('\n'))
        return std::nullopt;
    auto const payload = pieces.bytes(*length);
    if (!payload || !pieces.sign('\n') || text_digest(*payload) != *digest)
        return std::nullopt;
    return payload;
}

std::optional<JournalEntry> read_entry(std::string_view payload)
{
    Pieces pieces(payload);
    JournalEntry entry;
    auto const letter = pieces.bytes(1);
    bool known = false;
    for (auto const& [kind, one] : kLetters)
        if (letter && letter->front() == one)
            entry.kind = kind, known = true;
    if (!known || !pieces.sign(' '))
        return std::nullopt;
    auto const before = pieces.bytes(kDigest);
    bool sound = before && pieces.sign(' ');
    auto const after = pieces.bytes(kDigest);
    std::array<std::size_t, 3> numbers{};
    for (std::size_t& number : numbers) {
        sound = sound && pieces.sign(' ');
        auto const read = sound ? pieces.number() : std::nullopt;
        sound = read.has_value();
        number = read.value_or(0);
    }
    if (!sound || !after || !pieces.sign('\n'))
        return std::nullopt;
    auto const old_bytes = pieces.bytes(numbers[1]);
    auto const new_bytes = pieces.bytes(numbers[2]);
    if (!old_bytes || !new_bytes)
        return std::nullopt;
    entry.before = *before;
    entry.after = *after;
    entry.splice = {numbers[0], std::string(*old_bytes), std::string(*new_bytes)};
    entry.what = pieces.rest();
    return entry;
}

} // namespace

JournalReading read_journal(std::string_view bytes)
{
    JournalReading reading;
    Pieces pieces(bytes);
    while (auto const payload = read_record(pieces)) {
        if (payload->size() == 1 && payload->front() == kWritten)
            reading.last_is_written = true;
        else if (auto entry = read_entry(*payload)) {
            reading.entries.push_back(*std::move(entry));
            reading.last = reading.sound;
            reading.last_is_written = false;
        } else
            break;
        reading.sound = bytes.size() - pieces.rest().size();
    }
    return reading;
}

Journal::Journal(std::filesystem::path path, AppendFile file, JournalReading reading)
    : m_path(std::move(path)),
      m_file(std::move(file)),
      m_entries(std::move(reading.entries)),
      m_last_is_written(reading.last_is_written),
      m_last(static_cast<std::int64_t>(reading.last))
{
}

Result<Journal> Journal::open(std::filesystem::path const& path)
{
    TRY_ASSIGN(AppendFile file, AppendFile::open(path));
    TRY_ASSIGN(std::string const bytes, read_file_text(path, kMostBytes));
    JournalReading reading = read_journal(bytes);
    if (reading.sound < bytes.size())
        TRY_VOID(file.cut_to(static_cast<std::int64_t>(reading.sound)));
    return Journal(path, std::move(file), std::move(reading));
}

Result<void> Journal::append(JournalEntry entry)
{
    if (m_file.size() > kLong)
        TRY_VOID(shorten());
    std::int64_t const begin = m_file.size();
    TRY_VOID(m_file.append(record(entry)));
    m_last = begin;
    m_entries.push_back(std::move(entry));
    m_last_is_written = false;
    return {};
}

// Not brought to the disk at once: where it is lost, the cue file itself says so.
void Journal::written()
{
    m_last_is_written = true;
    static_cast<void>(m_file.append_unhurried(record(std::string_view(&kWritten, 1))));
}

Result<void> Journal::take_back()
{
    m_entries.pop_back();
    m_last_is_written = true;
    return m_file.cut_to(m_last);
}

Result<void> Journal::shorten()
{
    std::size_t first = m_entries.size();
    for (std::int64_t size = 0; first > 0 && size < kLong / 2; --first)
        size += static_cast<std::int64_t>(record(m_entries[first - 1]).size());
    std::string kept;
    for (std::size_t i = first; i < m_entries.size(); ++i)
        kept += record(m_entries[i]);
    kept += record(std::string_view(&kWritten, 1));
    TRY_VOID(write_private_file(kept, m_path));
    TRY_ASSIGN(m_file, AppendFile::open(m_path));
    m_entries.erase(m_entries.begin(), m_entries.begin() + static_cast<std::ptrdiff_t>(first));
    return {};
}

} // namespace tabard::pipeline
