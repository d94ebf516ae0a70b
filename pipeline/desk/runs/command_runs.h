#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

// Long work is done by this program itself in processes of their own, with the command line that the author could type:
// the same code and the same words as in a terminal, and its memory is not the server's.
namespace tabard::pipeline {

/// A file that a run made.
struct MadeFile {
    std::string name; ///< as the page knows it
    std::filesystem::path path;
};

/// What a command said when it ended by itself.
struct CommandEnd {
    int exit = 0;    ///< its exit code
    std::string out; ///< its standard output
    std::string err; ///< the end of its standard error
};

/// What a command has come to.
struct CommandOutcome {
    std::vector<MadeFile> made;
    std::string result = "null"; ///< JSON on one line
    std::string what;            ///< its last message; empty: as the command said it
};

/// A command that is to run.
struct CommandPlan {
    std::string kind;                   ///< "render"
    std::string words;                  ///< "Rendering lantern.mp4"
    std::vector<std::string> arguments; ///< after the program's name
    std::filesystem::path folder;       ///< where it runs
    std::string unsaid;                 ///< a path that its messages leave out; may be empty
    bool heavy = true;                  ///< waits while two such run
    bool no_is_an_answer = false;       ///< exit code 1 (the answer is no) is no failure
    /// What a command has come to that did not fail. Called on a thread of the run; empty: nothing.
    std::function<Result<CommandOutcome>(CommandEnd const&)> outcome;
};

enum class RunState { running, done, failed, cancelled };

/// A command that runs or ran.
struct CommandRun {
    std::string id;
    std::string kind;
    std::string words;
    RunState state = RunState::running;
    double share = 0;    ///< 0 to 1
    std::string what;    ///< its last message; why it failed; "waits"
    std::string command; ///< as its author could type it
    std::vector<MadeFile> made;
    std::string result = "null"; ///< JSON on one line
};

/// Runs commands, at most two heavy ones at once. Thread-safe. All are ended, in order and else by force, when it is
/// destroyed; and a command ends when the process of its CommandRuns does, however that comes.
class CommandRuns {
public:
    /// `program`: an absolute path. `told` is called on other threads at each change of a run; never after the end of
    /// this object.
    CommandRuns(std::filesystem::path program, std::function<void(CommandRun const&)> told);
    ~CommandRuns();
    CommandRuns(CommandRuns const&) = delete;
    CommandRuns& operator=(CommandRuns const&) = delete;

    /// Its id. Fails with unsupported where too many run already.
    Result<std::string> begin(CommandPlan plan);
    /// Asks it to stop, and after some seconds makes it. False where no such run is known.
    bool cancel(std::string const& id);
    std::vector<CommandRun> list() const; ///< oldest first; of those that ended the last fifty
    std::optional<CommandRun> find(std::string const& id) const;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
