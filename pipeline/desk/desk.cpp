#include "pipeline/desk/desk.h"

#include "overlay/base/letters.h"
#include "pipeline/cues/writer.h"
#include "pipeline/desk/file/desk_file.h"
#include "pipeline/desk/file/state_folder.h"
#include "pipeline/desk/view/findings_json.h"
#include "pipeline/desk/view/json.h"

#include <algorithm>
#include <chrono>
#include <ctime>
#include <mutex>
#include <optional>
#include <thread>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using Change = std::function<Result<void>(JsonValue&)>;

constexpr std::chrono::milliseconds kLook{500};
constexpr std::size_t kLongestName = 200; // of a change, in bytes

Answer digest_answer(std::string const& digest) { return json_answer({{"digest", digest}}); }

Answer changed_here(std::string const& digest)
{
    return json_answer(
        {{"what", "the lesson was changed meanwhile"}, {"fix", "look at it and do it again"}, {"digest", digest}}, 409);
}

/// The file and what is open here differ: the author decides.
Answer changed_elsewhere(std::string const& mine, std::string const& theirs)
{
    return json_answer({{"what", theirs.empty() ? "the cue file is not there any more"
                                                : "another program changed the cue file meanwhile"},
                        {"fix", "choose which of the two is kept; the other stays as a version"},
                        {"mine", mine},
                        {"theirs", theirs},
                        {"digest", text_digest(theirs)}},
                       409);
}

/// Fails with invalid_input where a text is no lesson at all, so that nobody could change it at the desk any more.
Result<void> check_lesson(LessonView const& view)
{
    auto const& findings = view.file.reading.findings;
    auto const worst = std::ranges::find_if(findings, [&](Finding const& finding) {
        return finding.code == "too-big" || (!view.file.reading.lesson && finding.severity == Severity::error);
    });
    if (worst != findings.end())
        return Error{ErrorKind::invalid_input, fmt::format("{}; {}", worst->what, worst->fix)};
    if (!view.file.reading.lesson || view.file.text.size() > kMostCueFileBytes)
        return Error{ErrorKind::invalid_input, "that would be no cue file any more"};
    return {};
}

/// The view's text with a change.
Result<std::string> changed_text(LessonView const& view, Change const& change)
{
    if (view.file.document.kind != JsonValue::Kind::object)
        return Error{ErrorKind::invalid_input, fmt::format("the cue file cannot be understood: {}; correct it in an "
                                                           "editor, or choose one of the versions",
                                                           view.broken)};
    JsonValue document = view.file.document;
    TRY_VOID(change(document));
    return document == view.file.document ? view.file.text : document_text(document, view.file.text);
}

std::string name_of(std::string what)
{
    std::ranges::replace_if(
        what, [](unsigned char c) { return c < 0x20; }, ' ');
    return what.empty() ? "Change" : std::string(first_letters(what, kLongestName));
}

} // namespace

struct Desk::Impl {
    FilmHeaders films;
    Told told;
    mutable std::mutex mutex; ///< of all below
    DeskOptions options;
    std::optional<DeskClaim> claim;
    std::optional<DeskFile> file;
    std::shared_ptr<LessonView const> view;
    std::shared_ptr<LessonView const> overtaken; ///< what another program's text took the place of
    bool lost = false;                           ///< there is no file that can be read
    std::string page;                            ///< its address
    std::jthread watcher;

    Result<void> take_lesson(DeskOptions the_options);
    LessonView look_at_text(std::string text) const;
    void show(LessonView made);
    void look();
    std::optional<Answer> conflict(std::string const& base, Change const* change);
    Answer save(std::string text, std::string const& what);
    Answer turn(Result<std::string> text, Result<std::string> (DeskFile::*write)(std::int64_t));
    void watch(std::stop_token const& stop);
};

/// Fails where another desk has the lesson; then all is as before.
Result<void> Desk::Impl::take_lesson(DeskOptions the_options)
{
    TRY_ASSIGN(auto claimed, DeskClaim::take(the_options.state));
    if (!claimed)
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}' is open at another desk", the_options.lesson.filename().string())};
    TRY_ASSIGN(auto opened, DeskFile::open(the_options.lesson, the_options.state));
    if (!page.empty())
        TRY_VOID(claimed->announce(page));
    options = std::move(the_options);
    claim.emplace(*std::move(claimed));
    file.emplace(std::move(opened));
    view.reset();
    overtaken.reset();
    lost = false;
    show(look_at_text(file->text()));
    return {};
}

LessonView Desk::Impl::look_at_text(std::string text) const
{
    return look_at(std::move(text), options.lesson, films, options.look_of, view ? view->drawn : nullptr);
}

/// A version that is on the disk is now on the desk.
void Desk::Impl::show(LessonView made)
{
    made.undo = file->undo();
    made.redo = file->redo();
    view = std::make_shared<LessonView const>(std::move(made));
    told.add({"lesson", json_text({{"digest", view->digest}})});
}

/// Takes over what another program wrote.
void Desk::Impl::look()
{
    DeskFile::Seen const seen = file->look();
    bool const was_lost = std::exchange(lost, seen == DeskFile::Seen::lost);
    if (lost && !was_lost)
        told.add({"elsewhere", json_text({{"digest", text_digest("")}})});
    if (seen != DeskFile::Seen::changed)
        return;
    overtaken = view;
    show(look_at_text(file->text()));
}

/// Why nothing made from `base` can be saved. `change`: what is to be saved; null where that is no question to ask.
std::optional<Answer> Desk::Impl::conflict(std::string const& base, Change const* change)
{
    auto theirs = file->elsewhere();
    if (!theirs)
        return refusal(theirs.error());
    bool const overtook = overtaken && overtaken->digest == base;
    LessonView const& mine = overtook ? *overtaken : *view;
    if (base == mine.digest && change != nullptr && (*theirs || overtook)) {
        auto const text = changed_text(mine, *change);
        return text ? changed_elsewhere(*text, *theirs ? **theirs : file->text()) : refusal(text.error());
    }
    if (*theirs && (*theirs)->empty())
        return changed_elsewhere(file->text(), "");
    if (*theirs)
        look();
    if (base != view->digest || *theirs)
        return changed_here(view->digest);
    return std::nullopt;
}

/// The file is what the view says.
Answer Desk::Impl::save(std::string text, std::string const& what)
{
    if (text == file->text())
        return digest_answer(view->digest);
    LessonView made = look_at_text(text);
    if (auto const sound = check_lesson(made); !sound)
        return refusal(sound.error());
    if (auto const saved = file->save(std::move(text), name_of(what), std::time(nullptr)); !saved)
        return refusal(saved.error());
    overtaken.reset();
    show(std::move(made));
    return digest_answer(view->digest);
}

/// Undo and redo: `text` is what they bring.
Answer Desk::Impl::turn(Result<std::string> text, Result<std::string> (DeskFile::*write)(std::int64_t))
{
    if (!text)
        return refusal(text.error());
    LessonView made = look_at_text(*std::move(text));
    auto const what = ((*file).*write)(std::time(nullptr));
    if (!what)
        return refusal(what.error());
    overtaken.reset();
    show(std::move(made));
    return json_answer({{"digest", view->digest}, {"what", *what}});
}

void Desk::Impl::watch(std::stop_token const& stop)
{
    std::mutex sleeping;
    std::condition_variable_any stopped;
    std::unique_lock lock{sleeping};
    while (!stopped.wait_for(lock, stop, kLook, [] { return false; }) && !stop.stop_requested()) {
        std::scoped_lock const all{mutex};
        look();
    }
}

Result<std::unique_ptr<Desk>> Desk::open(DeskOptions options)
{
    auto impl = std::make_unique<Impl>();
    TRY_VOID(impl->take_lesson(std::move(options)));
    impl->watcher = std::jthread([desk = impl.get()](std::stop_token const& stop) { desk->watch(stop); });
    return std::unique_ptr<Desk>(new Desk(std::move(impl)));
}

Desk::Desk(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Desk::~Desk() = default;

std::shared_ptr<LessonView const> Desk::view()
{
    std::scoped_lock const lock{m_impl->mutex};
    m_impl->look();
    return m_impl->view;
}

DeskOptions Desk::options() const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->options;
}

FilmHeaders const& Desk::films() const { return m_impl->films; }

Answer Desk::change(std::string const& base, std::string const& what, Change const& change)
{
    std::scoped_lock const lock{m_impl->mutex};
    if (auto stopped = m_impl->conflict(base, &change))
        return *std::move(stopped);
    auto text = changed_text(*m_impl->view, change);
    return text ? m_impl->save(*std::move(text), what) : refusal(text.error());
}

Answer Desk::try_change(std::string const& base, Change const& change)
{
    auto const now = view();
    if (base != now->digest)
        return changed_here(now->digest);
    auto text = changed_text(*now, change);
    if (!text)
        return refusal(text.error());
    DeskOptions const how = options();
    LessonView const made = look_at(*std::move(text), how.lesson, films(), how.look_of, now->drawn);
    if (auto const sound = check_lesson(made); !sound)
        return refusal(sound.error());
    return json_answer({{"findings", findings_json(made.found.findings, made.file.document)}});
}

Answer Desk::undo(std::string const& base)
{
    std::scoped_lock const lock{m_impl->mutex};
    if (auto stopped = m_impl->conflict(base, nullptr))
        return *std::move(stopped);
    return m_impl->turn(m_impl->file->text_undone(), &DeskFile::save_undone);
}

Answer Desk::redo(std::string const& base)
{
    std::scoped_lock const lock{m_impl->mutex};
    if (auto stopped = m_impl->conflict(base, nullptr))
        return *std::move(stopped);
    return m_impl->turn(m_impl->file->text_redone(), &DeskFile::save_redone);
}

Answer Desk::restore(std::string const& base, std::string const& id)
{
    std::scoped_lock const lock{m_impl->mutex};
    if (auto stopped = m_impl->conflict(base, nullptr))
        return *std::move(stopped);
    auto text = m_impl->file->versions().text(id);
    if (!text)
        return refusal(text.error());
    if (auto const kept = m_impl->file->keep(m_impl->file->text(), "Before an older version", std::time(nullptr));
        !kept)
        return refusal(kept.error());
    return m_impl->save(*std::move(text), "Take an older version");
}

Answer Desk::keep_mine(std::string const& mine, std::string const& theirs_digest)
{
    std::scoped_lock const lock{m_impl->mutex};
    auto const on_disk = m_impl->file->on_disk();
    if (!on_disk)
        return refusal(on_disk.error());
    std::string const& there = *on_disk;
    if (text_digest(there) != theirs_digest)
        return changed_elsewhere(mine, there);
    LessonView made = m_impl->look_at_text(mine);
    if (auto const sound = check_lesson(made); !sound)
        return refusal(sound.error());
    if (mine != there)
        if (auto const saved = m_impl->file->save_over(mine, there, "Keep what was made here", std::time(nullptr));
            !saved)
            return refusal(saved.error());
    if (mine == there)
        m_impl->look();
    m_impl->overtaken.reset();
    m_impl->lost = false;
    m_impl->show(std::move(made));
    return digest_answer(m_impl->view->digest);
}

Answer Desk::keep_theirs(std::string const& mine, std::string const& theirs_digest)
{
    std::scoped_lock const lock{m_impl->mutex};
    auto const on_disk = m_impl->file->on_disk();
    if (!on_disk)
        return refusal(on_disk.error());
    std::string const& there = *on_disk;
    if (text_digest(there) != theirs_digest)
        return changed_elsewhere(mine, there);
    if (there.empty())
        return refusal(422, "there is no cue file to keep; keep yours, and it is written again");
    if (auto const kept = m_impl->file->keep(mine, "What was made here and not kept", std::time(nullptr)); !kept)
        return refusal(kept.error());
    m_impl->look();
    m_impl->overtaken.reset();
    return digest_answer(m_impl->view->digest);
}

std::vector<KeptVersion> Desk::versions() const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->file->versions().list();
}

Result<std::string> Desk::version(std::string const& id) const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->file->versions().text(id);
}

Answer Desk::open_beside(std::string const& name)
{
    std::scoped_lock const lock{m_impl->mutex};
    fs::path const folder = m_impl->options.lesson.parent_path();
    std::error_code failed;
    fs::path const real = fs::canonical(folder / name, failed);
    bool const beside = !failed && fs::path(name).filename() == name && name.ends_with(".json") &&
                        real.parent_path() == fs::canonical(folder.empty() ? "." : folder, failed);
    if (!beside || failed)
        return refusal(404, "there is no such lesson in this folder");
    DeskOptions other = m_impl->options;
    other.lesson = folder / name;
    auto state = state_folder_of(other.lesson, m_impl->options.state.parent_path());
    if (!state)
        return refusal(state.error());
    if (*state == m_impl->options.state)
        return digest_answer(m_impl->view->digest);
    other.state = *std::move(state);
    if (auto const taken = m_impl->take_lesson(std::move(other)); !taken)
        return refusal(taken.error());
    return digest_answer(m_impl->view->digest);
}

Result<void> Desk::announce(std::string page)
{
    std::scoped_lock const lock{m_impl->mutex};
    m_impl->page = std::move(page);
    return m_impl->claim->announce(m_impl->page);
}

void Desk::tell(DeskEvent event) { m_impl->told.add(std::move(event)); }

std::vector<DeskEvent> Desk::events_after(std::uint64_t& seen) { return m_impl->told.after(seen); }

} // namespace tabard::pipeline
