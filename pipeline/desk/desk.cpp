#include "pipeline/desk/desk.h"

#include "pipeline/cues/writer.h"
#include "pipeline/desk/file_state.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/output_file.h"

#include <chrono>
#include <condition_variable>
#include <deque>
#include <mutex>

#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr std::size_t kMostText = std::size_t{64} << 20; // as the reader of cue files
constexpr std::size_t kMostEvents = 200;                 // kept for a page that is slow
constexpr std::chrono::seconds kLongestWait{1};

Answer answer(json const& body, int status = 200)
{
    return {status, "application/json", body.dump(-1, ' ', false, json::error_handler_t::replace), {}, {}};
}

/// What pages were told, in order. Thread-safe.
class Told {
public:
    void add(DeskEvent event)
    {
        {
            std::scoped_lock const lock{m_mutex};
            m_events.push_back(std::move(event));
            if (m_events.size() > kMostEvents)
                m_events.pop_front();
            ++m_count;
        }
        m_more.notify_all();
    }

    std::vector<DeskEvent> after(std::uint64_t& seen)
    {
        std::unique_lock lock{m_mutex};
        if (seen == 0)
            seen = m_count;
        else
            m_more.wait_for(lock, kLongestWait, [&] { return m_count > seen; });
        auto const news = std::min<std::uint64_t>(m_count - std::min(m_count, seen), m_events.size());
        seen = m_count;
        return {m_events.end() - static_cast<std::ptrdiff_t>(news), m_events.end()};
    }

private:
    std::mutex m_mutex;
    std::condition_variable m_more;
    std::deque<DeskEvent> m_events;
    std::uint64_t m_count = 1; ///< of all that was ever told, and one
};

} // namespace

struct Desk::Impl {
    DeskOptions options;
    FilmHeaders films;
    Told told;
    mutable std::mutex mutex; ///< of all below
    std::shared_ptr<LessonView const> view;
    FileState seen;

    void take(std::string text);
    void look();
    Answer save(std::string text);
};

/// A new version of the text is on the desk.
void Desk::Impl::take(std::string text)
{
    auto const before = view ? view->drawn : nullptr;
    view = std::make_shared<LessonView const>(look_at(std::move(text), options.lesson, films, options.look_of, before));
    told.add({"lesson", json{{"digest", view->digest}}.dump()});
}

/// Takes over what another program wrote.
void Desk::Impl::look()
{
    FileState const now = file_state(options.lesson);
    if (now == seen)
        return;
    auto text = read_file_text(options.lesson, kMostText);
    if (!text)
        return;
    seen = now;
    if (text_digest(*text) != view->digest)
        take(*std::move(text));
}

Answer Desk::Impl::save(std::string text)
{
    if (auto const done = write_text(text, options.lesson, Existing::replace, {}); !done)
        return refusal(done.error());
    seen = file_state(options.lesson);
    take(std::move(text));
    return answer({{"digest", view->digest}});
}

Result<std::unique_ptr<Desk>> Desk::open(DeskOptions options)
{
    TRY_ASSIGN(std::string text, read_file_text(options.lesson, kMostText));
    auto impl = std::make_unique<Impl>();
    impl->options = std::move(options);
    impl->seen = file_state(impl->options.lesson);
    impl->take(std::move(text));
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

Answer Desk::change(std::string const& base, std::string const& what,
                    std::function<Result<void>(JsonValue&)> const& change)
{
    static_cast<void>(what);
    std::scoped_lock const lock{m_impl->mutex};
    m_impl->look();
    LessonView const& view = *m_impl->view;
    if (base != view.digest)
        return answer({{"what", "the lesson was changed meanwhile"}, {"fix", ""}, {"digest", view.digest}}, 409);
    JsonValue document = view.file.document;
    if (auto const done = change(document); !done)
        return refusal(done.error());
    return m_impl->save(document_text(document, view.file.text));
}

Answer Desk::open_beside(std::string const& name)
{
    static_cast<void>(name);
    return refusal(422, "another lesson cannot be opened yet");
}

void Desk::tell(DeskEvent event) { m_impl->told.add(std::move(event)); }

std::vector<DeskEvent> Desk::events_after(std::uint64_t& seen) { return m_impl->told.after(seen); }

} // namespace tabard::pipeline
