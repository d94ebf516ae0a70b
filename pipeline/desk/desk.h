#pragma once
#include "pipeline/desk/exchange.h"
#include "pipeline/desk/lesson_view.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

namespace tabard::pipeline {

struct DeskOptions {
    std::filesystem::path lesson;  ///< the cue file
    std::filesystem::path state;   ///< a folder of this desk's own: journal, versions, what runs leave there
    std::filesystem::path program; ///< this program, to run its commands
    LookOf look_of;
};

/// One thing that every open page is told.
struct DeskEvent {
    std::string name; ///< "lesson"
    std::string data; ///< JSON on one line
};

/// The lesson on the desk. The one place where it is changed; thread-safe.
class Desk {
public:
    /// Fails with not_found or io where the cue file cannot be read or the state folder cannot be written to.
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
    /// Another lesson of the same folder takes the desk.
    Answer open_beside(std::string const& name);

    /// To all pages. May be called from any thread.
    void tell(DeskEvent event);
    /// Waits for what was told after `seen` (0: from now on), at most a second; empty then. Sets `seen`.
    std::vector<DeskEvent> events_after(std::uint64_t& seen);

private:
    struct Impl;
    explicit Desk(std::unique_ptr<Impl> impl);
    friend void add_file_answers(Routes& routes, Desk& desk);
    std::unique_ptr<Impl> m_impl;
};

/// edit, settle, undo, redo, restore, try, versions, version, open.
void add_file_answers(Routes& routes, Desk& desk);

/// A change of a document as POST edit says it: set, remove, insert, move. Fails with invalid_input for a place that is
/// not there, and then `document` may be changed in part.
Result<void> apply_edits(JsonValue& document, JsonValue const& edits);

} // namespace tabard::pipeline
