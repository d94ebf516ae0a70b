#include "pipeline/desk/music/chart_answer.h"

#include "overlay/sheet/sheet.h"
#include "pipeline/check/report/html.h"
#include "pipeline/desk/music/typed_chart.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/desk/view/part_of_file.h"
#include "pipeline/publish/sheet_builder.h"

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostDrawn = 200; ///< bars: more are slow to draw, and nobody sees them while typing

Json mistakes_json(std::vector<ChartMistake> const& mistakes, std::string_view text)
{
    Json list = Json::array();
    for (ChartMistake const& mistake : mistakes)
        list.push_back({{"at", utf16_units(text.substr(0, mistake.at))},
                        {"length", utf16_units(text.substr(mistake.at, mistake.length))},
                        {"severity", severity_name(mistake.severity)},
                        {"what", mistake.what},
                        {"fix", mistake.fix}});
    return list;
}

Json bars_json(Chart const& chart)
{
    Json list = Json::array();
    for (std::size_t n = 0; n < chart.written.size(); ++n) {
        WrittenBar const& bar = chart.written[n];
        Json chords = Json::array();
        for (ChartChord const& chord : bar.chords)
            chords.push_back({{"name", chord.name}, {"beats", chord.beats}, {"held", chord.held}});
        list.push_back({{"number", n + 1},
                        {"chords", std::move(chords)},
                        {"simile", bar.simile},
                        {"opens_repeat", bar.opens_repeat},
                        {"closes_repeat", bar.closes_repeat}});
    }
    return list;
}

/// Empty where there are no bars.
std::string picture_of(Chart const& chart)
{
    overlay::SheetPart part;
    part.meter = chart.meter;
    part.bars = sheet_bars(chart);
    if (part.bars.empty())
        return "";
    part.bars.resize(std::min(part.bars.size(), kMostDrawn));
    auto const picture = overlay::draw_bars(part, {});
    return picture ? "data:image/svg+xml;base64," + base64(*picture) : "";
}

Result<overlay::Meter> meter_of(LessonView const& view, Json const& body)
{
    if (Json const meter = body.value("meter", Json()); meter.is_string())
        return overlay::Meter::parse(meter.get<std::string>());
    Json const part = body.value("part", Json());
    auto const index = part.is_number_unsigned() ? part.get<std::uint64_t>() : 1'000'000;
    TRY_ASSIGN(auto const own, part_of_file(view, static_cast<int>(std::min<std::uint64_t>(index, 1'000'000))));
    return *own.own().meter;
}

} // namespace

Answer chart_answer(LessonView const& view, std::string_view body)
{
    Json const request = Json::parse(body, nullptr, false);
    if (!request.is_object() || !request.value("bars", Json()).is_string())
        return refusal(400, "the chart cannot be understood");
    auto const meter = meter_of(view, request);
    if (!meter)
        return refusal(meter.error());
    auto const text = request["bars"].get<std::string>();
    if (text.size() > kLongestText)
        return refusal(422, "the chart is too long; split the part");
    auto const& lesson = view.file.reading.lesson;
    TypedChart const typed = typed_chart(text, *meter, lesson ? *lesson : Lesson{});
    return json_answer({{"mistakes", mistakes_json(typed.mistakes, text)},
                        {"bars", bars_json(typed.chart)},
                        {"picture", picture_of(typed.chart)}});
}

} // namespace tabard::pipeline
