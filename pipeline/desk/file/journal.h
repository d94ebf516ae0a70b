#pragma once
#include "overlay/base/result.h"
#include "pipeline/desk/file/splice.h"
#include "pipeline/files/append_file.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A change of the cue file. Digests are text_digest().
struct JournalEntry {
    enum class Kind { edit, undo, redo };
    Kind kind = Kind::edit;
    std::string before; ///< digest of the text it was made from
    std::string after;  ///< of what it made of it
    Splice splice;
    std::string what; ///< "Move Verse"
    friend bool operator==(JournalEntry const&, JournalEntry const&) = default;
};

/// What a journal holds: entries as far as they are sound.
struct JournalReading {
    std::vector<JournalEntry> entries;
    bool last_is_written = true; ///< false: whether the last entry reached the cue file is not known
    std::size_t last = 0;        ///< where the last entry begins
    std::size_t sound = 0;       ///< bytes; what follows is a record that was never finished
};
JournalReading read_journal(std::string_view bytes);

/// All that was changed at the desk, for undo and against loss: an entry is on the disk before the cue file is written.
class Journal {
public:
    /// Fails with io.
    static Result<Journal> open(std::filesystem::path const& path);

    std::vector<JournalEntry> const& entries() const { return m_entries; }
    bool last_is_written() const { return m_last_is_written; }

    Result<void> append(JournalEntry entry);
    /// The last entry reached the cue file.
    void written();
    /// The last entry did not reach it, and never will.
    Result<void> take_back();

private:
    Journal(std::filesystem::path path, AppendFile file, JournalReading reading);
    Result<void> shorten();

    std::filesystem::path m_path;
    AppendFile m_file;
    std::vector<JournalEntry> m_entries;
    bool m_last_is_written;
    std::int64_t m_last; ///< where the last entry begins
};

} // namespace tabard::pipeline
