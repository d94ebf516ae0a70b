#include "pipeline/desk/runs/command_runs.h"

#include "pipeline/desk/runs/child_process.h"
#include "pipeline/files/shell_word.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Clock = std::chrono::steady_clock;

constexpr int kHeavyAtOnce = 2;
constexpr std::size_t kMostGoing = 16;
constexpr std::size_t kMostKept = 50;
constexpr auto kBetweenShares = std::chrono::milliseconds{200};

std::string command_line(std::vector<std::string> const& arguments)
{
    std::string line = "tabard";
    for (std::string const& word : arguments)
        line += " " + shell_word(word);
    return line;
}

/// The last line, or the last that begins so; without that beginning.
std::string last_line(std::string_view text, std::string_view beginning)
{
    std::string found;
    while (!text.empty()) {
        std::size_t const end = std::min(text.find('\n'), text.size());
        std::string_view const line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        if (!line.empty() && line.starts_with(beginning))
            found = line.substr(beginning.size());
    }
    return found;
}

/// What a message says here, where nobody types the command that comes next.
std::string without_advice(std::string line) { return line.substr(0, line.find(" Next: tabard ")); }

/// A file of the server's own is known to the page by its name alone.
std::string without_path(std::string line, std::string const& path)
{
    for (std::size_t at = line.find(path); !path.empty() && at != line.npos; at = line.find(path))
        line.erase(at, path.size());
    return line;
}

std::string why_failed(ChildEnd const& end)
{
    if (std::string const said = last_line(end.err, "tabard: "); !said.empty())
        return said;
    if (end.signal != 0)
        return fmt::format("the command was ended by signal {}; is there enough memory?", end.signal);
    if (std::string const said = last_line(end.err, ""); !said.empty())
        return said;
    return fmt::format("the command ended with exit code {} and said nothing", end.exit);
}

} // namespace

struct CommandRuns::Impl {
    /// A run, what it is to do, and its thread.
    struct Going {
        CommandRun run;
        CommandPlan plan;
        std::atomic<Ending> ending = Ending::none;
        bool waits = true; ///< for its turn
        Clock::time_point told{};
        std::jthread thread;
    };

    std::filesystem::path program;
    std::function<void(CommandRun const&)> told;
    mutable std::mutex mutex;
    std::condition_variable changed;
    std::deque<std::unique_ptr<Going>> runs;
    int heavy = 0;
    std::size_t begun = 0;

    bool is_going(Going const& going) const { return going.run.state == RunState::running; }

    /// Changes a run and tells of it.
    template <class Change>
    void change(Going& going, Change const& change)
    {
        CommandRun now;
        {
            std::scoped_lock const lock{mutex};
            change(going.run);
            going.told = Clock::now();
            now = going.run;
        }
        told(now);
    }

    /// The same for what changes often: told of at most five times a second.
    template <class Change>
    void change_often(Going& going, Change const& change_run)
    {
        bool soon = false;
        {
            std::scoped_lock const lock{mutex};
            soon = Clock::now() - going.told < kBetweenShares;
            change_run(going.run);
        }
        if (!soon)
            change(going, [](CommandRun&) {});
    }

    /// False where it was cancelled before its turn came.
    bool wait_for_turn(Going& going)
    {
        std::unique_lock lock{mutex};
        changed.wait(lock, [&] {
            return going.ending != Ending::none || !going.plan.heavy ||
                   (heavy < kHeavyAtOnce && &going == first_waiting());
        });
        if (going.ending != Ending::none)
            return false;
        heavy += going.plan.heavy ? 1 : 0;
        going.waits = false;
        going.run.what.clear();
        return true;
    }

    std::ptrdiff_t heavy_going() const
    {
        return std::ranges::count_if(runs, [this](auto const& going) { return is_going(*going) && going->plan.heavy; });
    }

    Going const* first_waiting() const
    {
        auto const found = std::ranges::find_if(runs, [this](auto const& going) {
            return is_going(*going) && going->plan.heavy && going->waits && going->ending == Ending::none;
        });
        return found == runs.end() ? nullptr : found->get();
    }

    void run(Going& going)
    {
        if (!wait_for_turn(going)) {
            finish_cancelled(going);
            return;
        }
        changed.notify_all(); // two may begin at once
        change(going, [](CommandRun&) {});
        ChildWatch const watch{[&](double share, std::string_view label) {
                                   change_often(going, [&](CommandRun& run) {
                                       run.share = share;
                                       run.what = label;
                                   });
                               },
                               [&](std::string_view line) {
                                   change_often(going,
                                                [&](CommandRun& run) { run.what = without_advice(std::string{line}); });
                               },
                               &going.ending};
        auto const end = run_child(program, going.plan.arguments, going.plan.folder, watch);
        {
            std::scoped_lock const lock{mutex};
            heavy -= going.plan.heavy ? 1 : 0;
        }
        changed.notify_all();
        finish(going, end);
    }

    void finish_cancelled(Going& going)
    {
        change(going, [](CommandRun& run) {
            run.state = RunState::cancelled;
            run.what = "stopped";
        });
        changed.notify_all();
    }

    void finish_failed(Going& going, std::string const& why)
    {
        change(going, [&](CommandRun& run) {
            run.state = RunState::failed;
            run.what = without_path(why, going.plan.unsaid);
        });
    }

    void finish(Going& going, Result<ChildEnd> const& end)
    {
        if (!end)
            return finish_failed(going, end.error().what);
        if (end->exit != 0 && going.ending != Ending::none)
            return finish_cancelled(going);
        if (end->exit != 0 && !(end->exit == 1 && going.plan.no_is_an_answer))
            return finish_failed(going, why_failed(*end));
        if (end->too_long)
            return finish_failed(going, "the command said more than can be kept");
        Result<CommandOutcome> outcome = CommandOutcome{};
        if (going.plan.outcome)
            outcome = going.plan.outcome({end->exit, end->out, end->err});
        if (!outcome)
            return finish_failed(going, outcome.error().what);
        change(going, [&](CommandRun& run) {
            run.state = RunState::done;
            run.share = 1;
            run.what = outcome->what.empty() ? without_advice(last_line(end->err, "")) : outcome->what;
            run.made = outcome->made;
            run.result = outcome->result;
        });
    }

    /// Only the last of those that ended are kept; gives the others. Their threads have nothing more to do.
    std::vector<std::unique_ptr<Going>> forget_oldest()
    {
        auto ended = static_cast<std::size_t>(
            std::ranges::count_if(runs, [this](auto const& going) { return !is_going(*going); }));
        std::vector<std::unique_ptr<Going>> gone;
        for (auto going = runs.begin(); going != runs.end() && ended > kMostKept;) {
            if (is_going(**going)) {
                ++going;
                continue;
            }
            gone.push_back(std::move(*going));
            going = runs.erase(going);
            --ended;
        }
        return gone;
    }

    Result<Going*> add(CommandPlan plan)
    {
        std::scoped_lock const lock{mutex};
        auto const going_now = std::ranges::count_if(runs, [this](auto const& going) { return is_going(*going); });
        if (static_cast<std::size_t>(going_now) >= kMostGoing)
            return Error{ErrorKind::unsupported, "too many commands run at once; wait until one has ended"};
        auto going = std::make_unique<Going>();
        going->run.id = std::to_string(++begun);
        going->run.kind = plan.kind;
        going->run.words = plan.words;
        going->run.command = command_line(plan.arguments);
        going->run.what = plan.heavy && heavy_going() >= kHeavyAtOnce ? "waits" : "";
        going->plan = std::move(plan);
        return runs.emplace_back(std::move(going)).get();
    }
};

CommandRuns::CommandRuns(std::filesystem::path program, std::function<void(CommandRun const&)> told)
    : m_impl(std::make_unique<Impl>())
{
    m_impl->program = std::move(program);
    m_impl->told = std::move(told);
}

CommandRuns::~CommandRuns()
{
    {
        std::scoped_lock const lock{m_impl->mutex};
        for (auto const& going : m_impl->runs)
            going->ending = Ending::at_once;
    }
    m_impl->changed.notify_all();
    for (auto const& going : m_impl->runs)
        if (going->thread.joinable())
            going->thread.join();
}

Result<std::string> CommandRuns::begin(CommandPlan plan)
{
    TRY_ASSIGN(Impl::Going* const going, m_impl->add(std::move(plan)));
    std::vector<std::unique_ptr<Impl::Going>> gone; // outlives the lock: its threads may still tell
    std::scoped_lock const lock{m_impl->mutex};
    std::string id = going->run.id;
    going->thread = std::jthread([impl = m_impl.get(), going] { impl->run(*going); });
    gone = m_impl->forget_oldest();
    return id;
}

bool CommandRuns::cancel(std::string const& id)
{
    std::scoped_lock const lock{m_impl->mutex};
    auto const found = std::ranges::find_if(m_impl->runs, [&](auto const& going) { return going->run.id == id; });
    if (found == m_impl->runs.end())
        return false;
    if (m_impl->is_going(**found) && (*found)->ending == Ending::none)
        (*found)->ending = Ending::asked;
    m_impl->changed.notify_all();
    return true;
}

std::vector<CommandRun> CommandRuns::list() const
{
    std::scoped_lock const lock{m_impl->mutex};
    std::vector<CommandRun> result;
    for (auto const& going : m_impl->runs)
        result.push_back(going->run);
    return result;
}

std::optional<CommandRun> CommandRuns::find(std::string const& id) const
{
    std::scoped_lock const lock{m_impl->mutex};
    for (auto const& going : m_impl->runs)
        if (going->run.id == id)
            return going->run;
    return std::nullopt;
}

} // namespace tabard::pipeline
