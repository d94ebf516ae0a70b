#pragma once
#include "pipeline/desk/file/kept_versions.h"
#include "pipeline/desk/server/exchange.h"
#include "pipeline/desk/server/told.h"
#include "pipeline/desk/view/lesson_view.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

struct DeskOptions {
    std::filesystem::path lesson;  ///< the cue file
    std::filesystem::path state;   ///< a folder of this desk's own: journal, versions, what runs leave there
    std::filesystem::path program; ///< this program, to run its commands
    LookOf look_of;
};

/// The lesson on the desk. The one place where it is changed; thread-safe.
class Desk {
public:
    /// Fails with not_found or io where the cue file cannot be read or the state folder cannot be written to; with
    /// invalid_input where another desk has the lesson.
    static Result<std::unique_ptr<Desk>> open(DeskOptions options);
    ~Desk();

    /// Never null. Looks at the file first: a version that another program wrote is taken over.
    std::shared_ptr<LessonView const> view();
    DeskOptions options() const;
    FilmHeaders const& films() const;

    /// Makes `change` on the document of version `base` and saves it, all or nothing; answers as POST edit does.
    /// `what` names the change for undo.
    Answer change(std::string const& base, std::string const& what,
                  std::function<Result<void>(JsonValue&)> const& change);
    /// What `change` would bring; answers as POST try does.
    Answer try_change(std::string const& base, std::function<Result<void>(JsonValue&)> const& change);
    /// As POST undo, redo, restore and settle.
    Answer undo(std::string const& base);
    Answer redo(std::string const& base);
    Answer restore(std::string const& base, std::string const& id);
    Answer keep_mine(std::string const& mine, std::string const& theirs_digest);
    Answer keep_theirs(std::string const& mine, std::string const& theirs_digest);
    std::vector<KeptVersion> versions() const;
    /// Fails with not_found.
    Result<std::string> version(std::string const& id) const;

    /// Another lesson of the same folder takes the desk.
    Answer open_beside(std::string const& name);
    /// The address of the page, for another start of the desk (DeskClaim). Fails with io.
    Result<void> announce(std::string page);

    /// To all pages. May be called from any thread.
    void tell(DeskEvent event);
    /// Waits for what was told after `seen` (0: from now on), at most a second; empty then. Sets `seen`.
    std::vector<DeskEvent> events_after(std::uint64_t& seen);

private:
    struct Impl;
    explicit Desk(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

/// edit, settle, undo, redo, restore, try, versions, version, open.
void add_file_answers(Routes& routes, Desk& desk);

/// A change of a document as POST edit says it: set, remove, insert, move. Fails with invalid_input for a place that is
/// not there, and then `document` may be changed in part.
Result<void> apply_edits(JsonValue& document, JsonValue const& edits);

} // namespace tabard::pipeline
