#pragma once
#include "pipeline/desk/file/file_state.h"
#include "pipeline/desk/file/journal.h"
#include "pipeline/desk/file/kept_versions.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// The cue file on disk, which other programs write too, with all that was changed at the desk. A text is only written
/// where the file is still the one that the desk knows; every change is in the journal before it is in the file. Used
/// by one thread at a time, and by one desk (DeskClaim).
class DeskFile {
public:
    /// A change that a killed desk had noted and not written is written now. Fails as read_file_text(), or with io.
    static Result<DeskFile> open(std::filesystem::path file, std::filesystem::path const& state);

    std::string const& text() const { return m_text; } ///< as the desk knows it
    std::string const& digest() const { return m_digest; }

    /// What would be undone, done again: the change's name; empty where there is none, or where the file was changed by
    /// another program since.
    std::string undo() const;
    std::string redo() const;

    enum class Seen { same, changed, lost };
    /// Looks at the file. A text of another program is taken over and the one before is kept as a version; `lost`:
    /// there is no file that can be read, and text() stays. Cheap where nothing has changed.
    Seen look();
    /// The file's text; "" where the file is not there. Fails with io where it cannot be read.
    Result<std::string> on_disk() const;
    /// The same where it is not text(), else none.
    Result<std::optional<std::string>> elsewhere() const;

    /// Writes a text in place of text(). Fails with io, also where the file is not text() any more; then all is as
    /// before.
    Result<void> save(std::string text, std::string what, std::int64_t now);
    /// The text that undo, redo would bring; fails with invalid_input where there is none.
    Result<std::string> text_undone() const;
    Result<std::string> text_redone() const;
    /// Writes it. Gives what was undone, done again. Fails as save() too.
    Result<std::string> save_undone(std::int64_t now);
    Result<std::string> save_redone(std::int64_t now);
    /// In place of what another program wrote, which is kept as a version and is what undo brings. `theirs` "": there
    /// is no file, and undo brings text().
    Result<void> save_over(std::string text, std::string const& theirs, std::string what, std::int64_t now);

    KeptVersions const& versions() const { return m_versions; }
    /// Keeps a text that is not to be lost.
    Result<void> keep(std::string const& text, std::string_view what, std::int64_t now);

private:
    DeskFile(std::filesystem::path file, Journal journal, KeptVersions versions);
    Result<void> recover();
    void replay();
    void enter(JournalEntry const& entry);
    Result<void> write(JournalEntry entry, std::string text, std::string_view there);
    Result<void> replace_file(std::string const& text, JournalEntry entry, std::string_view there);
    Result<void> keep_before(JournalEntry const& entry, std::int64_t now);
    void take(std::string text);

    std::filesystem::path m_file;
    Journal m_journal;
    KeptVersions m_versions;
    std::string m_text;
    std::string m_digest;
    std::optional<FileState> m_seen; ///< none: to be read again, whatever the system says
    bool m_lost = false;
    bool m_own = false;                 ///< text() was made at this desk
    std::vector<JournalEntry> m_undo;   ///< as they were made
    std::vector<JournalEntry> m_redo;   ///< as they would be made again
    std::optional<std::int64_t> m_kept; ///< when a version was last kept by this desk
};

} // namespace tabard::pipeline
