#include "pipeline/desk/runs/run_answers.h"

#include "overlay/base/small_letters.h"
#include "pipeline/desk/runs/command_runs.h"
#include "pipeline/desk/runs/lesson_files.h"
#include "pipeline/desk/runs/run_plan.h"
#include "pipeline/desk/view/json.h"

#include <array>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

std::string_view state_name(RunState state)
{
    switch (state) {
    case RunState::running:
        return "running";
    case RunState::done:
        return "done";
    case RunState::failed:
        return "failed";
    case RunState::cancelled:
        return "cancelled";
    }
    return "";
}

Json run_json(CommandRun const& run)
{
    Json made = Json::array();
    for (MadeFile const& file : run.made)
        made.push_back(file.name);
    return {{"id", run.id},
            {"kind", run.kind},
            {"words", run.words},
            {"state", state_name(run.state)},
            {"share", run.share},
            {"what", run.what},
            {"command", run.command},
            {"made", std::move(made)},
            {"result", Json::parse(run.result, nullptr, false)}};
}

fs::path full_path(fs::path const& path)
{
    std::error_code failed;
    fs::path full = fs::absolute(path, failed);
    return failed ? path : full;
}

/// What the answers share.
struct Runs {
    Desk& desk;
    CommandRuns commands;

    explicit Runs(Desk& on)
        : desk(on), commands(on.options().program, [&on](CommandRun const& run) {
              on.tell({"run", json_text(run_json(run))});
          })
    {
    }

    /// Paths that hold wherever a command runs.
    RunLesson lesson() const
    {
        auto const options = desk.options();
        return {full_path(options.lesson), full_path(options.state), desk.view()};
    }
};

Answer begin(Runs& runs, Result<RunPlan> plan)
{
    if (!plan)
        return refusal(plan.error());
    if (plan->exists) {
        Json const there{{"what", fmt::format("'{}' is there already", *plan->exists)},
                         {"fix", "replace it, or choose another name"},
                         {"exists", *plan->exists}};
        return json_answer(there, 409);
    }
    auto const id = runs.commands.begin(std::move(plan->command));
    return id ? json_answer({{"id", *id}}) : refusal(id.error());
}

using Plan = Result<RunPlan> (*)(Json const&, RunLesson const&);

Answer begin_asked(Runs& runs, Request const& request, Plan plan)
{
    Json const asked = Json::parse(request.body, nullptr, false);
    if (!asked.is_object())
        return refusal(400, "the request is not understood; load the page again");
    return begin(runs, plan(asked, runs.lesson()));
}

Answer list(Runs& runs)
{
    Json all = Json::array();
    for (CommandRun const& run : runs.commands.list())
        all.push_back(run_json(run));
    return json_answer(all);
}

Answer cancel(Runs& runs, Request const& request)
{
    Json const asked = Json::parse(request.body, nullptr, false);
    std::string const id = asked.is_object() && asked.contains("id") && asked["id"].is_string() ? asked["id"] : "";
    return runs.commands.cancel(id) ? json_answer(Json::object()) : refusal(404, "no such command runs");
}

/// What a browser may show as it is; all else is only for saving.
std::string type_of(fs::path const& file)
{
    static constexpr std::array<std::pair<std::string_view, char const*>, 10> kTypes{
        {{".mp4", "video/mp4"},
         {".m4v", "video/mp4"},
         {".mov", "video/mp4"},
         {".mkv", "video/x-matroska"},
         {".webm", "video/webm"},
         {".pdf", "application/pdf"},
         {".png", "image/png"},
         {".txt", "text/plain; charset=utf-8"},
         {".vtt", "text/vtt; charset=utf-8"},
         {".srt", "text/plain; charset=utf-8"}}};
    std::string const ending = small_letters(file.extension().string());
    for (auto const& [known, type] : kTypes)
        if (known == ending)
            return type;
    return "application/octet-stream";
}

/// RFC 6266, with the name as RFC 8187 writes it.
std::string as_download(std::string const& name)
{
    std::string encoded;
    for (char const byte : name) {
        bool const plain = (byte >= '0' && byte <= '9') || (small_letter(byte) >= 'a' && small_letter(byte) <= 'z');
        encoded += plain || byte == '.' || byte == '-' ? std::string{byte}
                                                       : fmt::format("%{:02X}", static_cast<unsigned char>(byte));
    }
    return "attachment; filename*=UTF-8''" + encoded;
}

Answer made(Runs& runs, Request const& request)
{
    auto const run = runs.commands.find(request.value("id"));
    if (run)
        for (MadeFile const& file : run->made) {
            std::error_code failed;
            bool const there = fs::symlink_status(file.path, failed).type() == fs::file_type::regular;
            if (file.name != request.value("name") || !there)
                continue;
            Answer answer{200, type_of(file.path), "", {{"Cache-Control", "no-cache"}}, file.path};
            if (request.value("download") == "1")
                answer.headers.emplace_back("Content-Disposition", as_download(file.name));
            return answer;
        }
    return refusal(404, "no such file was made, or it is no longer there");
}

Answer folder(Runs& runs)
{
    auto const files = lesson_files(full_path(runs.desk.options().lesson).parent_path());
    if (!files)
        return refusal(files.error());
    return json_answer({{"lessons", files->lessons}, {"films", files->films}, {"cuts", files->cuts}});
}

} // namespace

void add_run_answers(Routes& routes, Desk& desk)
{
    auto const runs = std::make_shared<Runs>(desk);
    routes.get.emplace("runs", [runs](Request const&) { return list(*runs); });
    routes.get.emplace("made", [runs](Request const& request) { return made(*runs, request); });
    routes.get.emplace("folder", [runs](Request const&) { return folder(*runs); });
    routes.post.emplace("runs", [runs](Request const& request) { return begin_asked(*runs, request, plan_run); });
    routes.post.emplace("cut", [runs](Request const& request) { return begin_asked(*runs, request, plan_cut); });
    routes.post.emplace("cancel", [runs](Request const& request) { return cancel(*runs, request); });
}

void propose_parts(Routes const& routes) { routes.post.at("runs")({"runs", "", {}, R"({"kind": "start"})"}); }

} // namespace tabard::pipeline
