#include "pipeline/desk/file/desk_file.h"

#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/reader.h"
#include "pipeline/desk/view/lesson_view.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/output_file.h"

#include <chrono>
#include <ctime>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t kBetweenVersions = 600; // seconds
constexpr std::size_t kSmall = 200;            // bytes: of a file that is smaller no change is a large one
// The system's clock for files takes steps, so a file may be written twice at one time.
constexpr std::chrono::milliseconds kStep{100};
// Some programs write a file in several steps.
constexpr std::chrono::milliseconds kSaving{400};

std::chrono::nanoseconds age_of(FileState const& state)
{
    auto const now = std::chrono::system_clock::now().time_since_epoch();
    return now - std::chrono::seconds{state.seconds} - std::chrono::nanoseconds{state.nanoseconds};
}

bool is_younger(FileState const& state, std::chrono::nanoseconds than)
{
    auto const age = age_of(state);
    return age >= std::chrono::nanoseconds{0} && age < than;
}

Error changed_meanwhile(fs::path const& file)
{
    return {ErrorKind::io, fmt::format("'{}' was changed by another program at this moment; try again", file.string())};
}

JournalEntry edit_of(std::string_view before, std::string_view after, std::string what)
{
    return {JournalEntry::Kind::edit, text_digest(before), text_digest(after), splice_between(before, after),
            std::move(what)};
}

/// What was undone, as it would be done again.
JournalEntry reversed(JournalEntry entry, JournalEntry::Kind kind)
{
    std::swap(entry.before, entry.after);
    entry.splice = entry.splice.inverse();
    entry.kind = kind;
    return entry;
}

} // namespace

DeskFile::DeskFile(fs::path file, Journal journal, KeptVersions versions)
    : m_file(std::move(file)), m_journal(std::move(journal)), m_versions(std::move(versions))
{
}

Result<DeskFile> DeskFile::open(fs::path file, fs::path const& state)
{
    TRY_ASSIGN(std::string text, read_file_text(file, kMostCueFileBytes));
    TRY_ASSIGN(Journal journal, Journal::open(state / "journal"));
    DeskFile opened(std::move(file), std::move(journal), KeptVersions(state / "versions"));
    opened.take(std::move(text));
    TRY_VOID(opened.recover());
    for (JournalEntry const& entry : opened.m_journal.entries())
        opened.enter(entry);
    return opened;
}

/// Of a change that was noted last it may not be known whether it reached the file: the file says.
Result<void> DeskFile::recover()
{
    if (m_journal.last_is_written())
        return {};
    JournalEntry const& last = m_journal.entries().back();
    auto text = last.before == m_digest ? spliced(m_text, last.splice) : std::nullopt;
    if (text && text_digest(*text) == last.after) {
        TRY_ASSIGN(OutputFile file, OutputFile::rewrite(m_file, {m_file}));
        TRY_VOID(file.write(*text));
        TRY_VOID(file.commit());
        take(*std::move(text));
    }
    m_journal.written();
    return {};
}

void DeskFile::take(std::string text)
{
    m_text = std::move(text);
    m_digest = text_digest(m_text);
    m_seen.reset();
    m_lost = false;
}

void DeskFile::enter(JournalEntry const& entry)
{
    switch (entry.kind) {
    case JournalEntry::Kind::edit:
        m_undo.push_back(entry);
        m_redo.clear();
        return;
    case JournalEntry::Kind::undo:
        if (!m_undo.empty()) // else it was in a part of the journal that is gone
            m_undo.pop_back();
        m_redo.push_back(reversed(entry, JournalEntry::Kind::redo));
        return;
    case JournalEntry::Kind::redo:
        if (!m_redo.empty())
            m_redo.pop_back();
        m_undo.push_back(entry);
        return;
    }
}

std::string DeskFile::undo() const
{
    return m_undo.empty() || m_undo.back().after != m_digest ? "" : m_undo.back().what;
}

std::string DeskFile::redo() const
{
    return m_redo.empty() || m_redo.back().before != m_digest ? "" : m_redo.back().what;
}

DeskFile::Seen DeskFile::look()
{
    FileState const now = file_state(m_file);
    if (now == m_seen)
        return m_lost ? Seen::lost : Seen::same;
    auto text = read_file_text(m_file, kMostCueFileBytes);
    if (!text) {
        m_seen = now;
        m_lost = true;
        return Seen::lost;
    }
    bool const same = *text == m_text;
    if (!same && is_younger(now, kSaving) && !parse_document(*text))
        return Seen::same; // for now
    if (!same) {
        if (m_own)
            static_cast<void>(m_versions.keep(m_text, "Before another program changed the file", std::time(nullptr)));
        m_own = false;
        take(*std::move(text));
    }
    m_lost = false;
    if (!is_younger(now, kStep))
        m_seen = now;
    return same ? Seen::same : Seen::changed;
}

Result<std::string> DeskFile::on_disk() const
{
    auto text = read_file_text(m_file, kMostCueFileBytes);
    return !text && text.error().kind == ErrorKind::not_found ? Result<std::string>("") : std::move(text);
}

Result<std::optional<std::string>> DeskFile::elsewhere() const
{
    TRY_ASSIGN(std::string now, on_disk());
    return now == m_text ? std::optional<std::string>{} : std::optional{std::move(now)};
}

Result<void> DeskFile::keep(std::string const& text, std::string_view what, std::int64_t now)
{
    return text.empty() ? Result<void>{} : m_versions.keep(text, what, now);
}

/// Before the first change of a session, when the last version is old, and before much of the text is replaced.
Result<void> DeskFile::keep_before(JournalEntry const& entry, std::int64_t now)
{
    bool const large = m_text.size() > kSmall && entry.splice.old_bytes.size() > m_text.size() / 2;
    if (m_kept && now - *m_kept < kBetweenVersions && !large)
        return {};
    TRY_VOID(keep(m_text, fmt::format("Before \"{}\"", entry.what), now));
    m_kept = now;
    return {};
}

/// `there`: what is in the file now.
Result<void> DeskFile::write(JournalEntry entry, std::string text, std::string_view there)
{
    TRY_VOID(replace_file(text, entry, there));
    enter(entry);
    m_own = true;
    take(std::move(text));
    return {};
}

Result<void> DeskFile::replace_file(std::string const& text, JournalEntry entry, std::string_view there)
{
    Inputs const seen{m_file};
    TRY_ASSIGN(std::string const now, on_disk());
    if (now != there)
        return changed_meanwhile(m_file);
    TRY_ASSIGN(OutputFile file, OutputFile::rewrite(m_file, seen));
    TRY_VOID(file.write(text));
    TRY_VOID(m_journal.append(std::move(entry)));
    if (auto const done = file.commit(); !done) {
        static_cast<void>(m_journal.take_back());
        return done.error();
    }
    m_journal.written();
    return {};
}

Result<void> DeskFile::save(std::string text, std::string what, std::int64_t now)
{
    JournalEntry entry = edit_of(m_text, text, std::move(what));
    TRY_VOID(keep_before(entry, now));
    return write(std::move(entry), std::move(text), m_text);
}

Result<void> DeskFile::save_over(std::string text, std::string const& theirs, std::string what, std::int64_t now)
{
    TRY_VOID(keep(theirs, "What another program wrote", now));
    JournalEntry entry = edit_of(theirs.empty() ? m_text : theirs, text, std::move(what));
    return write(std::move(entry), std::move(text), theirs);
}

Result<std::string> DeskFile::text_undone() const
{
    if (m_undo.empty())
        return Error{ErrorKind::invalid_input, "there is nothing to undo"};
    JournalEntry const& last = m_undo.back();
    auto text = last.after == m_digest ? spliced(m_text, last.splice.inverse()) : std::nullopt;
    if (!text || text_digest(*text) != last.before)
        return Error{ErrorKind::invalid_input,
                     "the file was changed by another program since; choose one of the versions instead"};
    return *std::move(text);
}

Result<std::string> DeskFile::text_redone() const
{
    if (m_redo.empty())
        return Error{ErrorKind::invalid_input, "there is nothing to do again"};
    JournalEntry const& next = m_redo.back();
    auto text = next.before == m_digest ? spliced(m_text, next.splice) : std::nullopt;
    if (!text || text_digest(*text) != next.after)
        return Error{ErrorKind::invalid_input,
                     "the file was changed by another program since; choose one of the versions instead"};
    return *std::move(text);
}

Result<std::string> DeskFile::save_undone(std::int64_t now)
{
    TRY_ASSIGN(std::string text, text_undone());
    JournalEntry const entry = reversed(m_undo.back(), JournalEntry::Kind::undo);
    TRY_VOID(keep_before(entry, now));
    TRY_VOID(write(entry, std::move(text), m_text));
    return entry.what;
}

Result<std::string> DeskFile::save_redone(std::int64_t now)
{
    TRY_ASSIGN(std::string text, text_redone());
    JournalEntry entry = m_redo.back();
    entry.kind = JournalEntry::Kind::redo;
    TRY_VOID(keep_before(entry, now));
    TRY_VOID(write(entry, std::move(text), m_text));
    return entry.what;
}

} // namespace tabard::pipeline
