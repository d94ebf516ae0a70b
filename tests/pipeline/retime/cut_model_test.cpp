#include "model_cut.h"
#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/retime/edl_cut.h"
#include "pipeline/retime/otio_cut.h"
#include "pipeline/retime/plain_times.h"
#include "pipeline/retime/retime.h"
#include "pipeline/timeline/timeline.h"

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gtest/gtest.h>

// From the cut list's text to the cues of the new film, held picture by picture against a model that only counts
// frames. Invented cuts of an invented lesson.
namespace tabard::pipeline {
namespace {

/// A cue of the lesson, in frames of the footage.
struct ModelCue {
    std::string says;
    std::int64_t from = 0;
    std::int64_t to = 0;
};

struct ModelLesson {
    std::string text;
    std::vector<ModelCue> cues;
    std::int64_t length = 0;
};

std::string seconds_text(std::int64_t frame, FrameRate rate)
{
    return fmt::format("{:.10f}", static_cast<double>(frame) * rate.den / rate.num);
}

/// A minute in five parts of talk with twelve cues each: eight chords, of which half are open, and four texts.
ModelLesson random_lesson(std::mt19937& random, FrameRate rate)
{
    constexpr char const* kKinds[] = {"", "m", "7", "maj7", "m7", "sus4"};
    std::int64_t const part = std::int64_t{12} * rate.num / rate.den;
    ModelLesson lesson{"", {}, 5 * part};
    std::string parts;
    int chord = 0;
    for (std::int64_t i = 0; i < 5; ++i) {
        auto const rising = [&](std::size_t count) {
            std::set<std::int64_t> frames;
            while (frames.size() < count)
                frames.insert(std::uniform_int_distribution<std::int64_t>{i * part, (i + 1) * part - 1}(random));
            frames.insert((i + 1) * part);
            return std::vector<std::int64_t>{frames.begin(), frames.end()};
        };
        std::vector<std::string> shown;
        auto const cue = [&](char const* key, std::string const& says, std::int64_t from, std::int64_t to, bool open) {
            lesson.cues.push_back({says, from, to});
            std::string const end = open ? "" : fmt::format(R"(, "to": "{}")", seconds_text(to, rate));
            shown.push_back(fmt::format(R"({{"{}": "{}", "from": "{}"{}}})", key, says, seconds_text(from, rate), end));
        };
        auto const chords = rising(8);
        for (std::size_t k = 0; k < 8; ++k, ++chord)
            cue("chord", fmt::format("{}{}", "CDEFGAB"[chord % 7], kKinds[chord / 7]), chords[k],
                k % 2 == 0 ? chords[k + 1] : (chords[k] + chords[k + 1] + 1) / 2, k % 2 == 0);
        auto const texts = rising(8);
        for (std::size_t k = 0; k < 8; k += 2)
            cue("text", fmt::format("text {}.{}", i, k), texts[k], texts[k + 1], false);
        parts += fmt::format("{}{{\"name\": \"Part {}\", \"from\": \"{}\", \"to\": \"{}\", \"show\": [{}]}}",
                             i == 0 ? "" : ",\n", i, seconds_text(i * part, rate), seconds_text((i + 1) * part, rate),
                             fmt::join(shown, ", "));
    }
    lesson.text = fmt::format(R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "lantern.mp4",
 "sections": [{}]}})",
                              parts);
    return lesson;
}

using Said = std::set<std::string>;

Said expected(ModelLesson const& lesson, ModelCut const& cut, std::int64_t frame, double later)
{
    Said said;
    if (auto const position = cut.position(frame, later))
        for (ModelCue const& cue : lesson.cues)
            if (position->is_in(cue.from, cue.to))
                said.insert(cue.says);
    return said;
}

Said shown(Timeline const& timeline, Time time)
{
    Said said;
    for (ChordSpan const& span : timeline.chords())
        if (span.in <= time && time < span.out)
            said.insert(span.name);
    for (TextSpan const& span : timeline.texts())
        if (span.in <= time && time < span.out)
            said.insert(span.text);
    return said;
}

struct Resolved {
    JsonValue document;
    Lesson lesson;
    Timeline timeline;
};

Resolved resolve(std::string const& text, MediaFacts const& film)
{
    LessonReading reading = parse_lesson(text, "lesson.json");
    for (Finding const& finding : reading.findings)
        if (finding.severity == Severity::error)
            ADD_FAILURE() << finding.at.line << ":" << finding.at.column << " " << finding.what;
    return {parse_document(text).value(), *reading.lesson, Timeline::resolve(*reading.lesson, film)};
}

/// Pictures of the new film over which other cues are than the model says, each with its frame.
std::vector<std::string> differences(ModelLesson const& lesson, ModelCut const& cut, EditMap const& map)
{
    MediaFacts const old_film{Time{0}, from_frame(lesson.length, cut.rate), cut.rate};
    MediaFacts const new_film{Time{0}, from_frame(cut.length(), cut.rate), cut.rate};
    Resolved const old = resolve(lesson.text, old_film);
    Retimed const retimed = retime(old.document, old.lesson, old.timeline, map, {new_film.duration, "", {}});
    Resolved const exact = resolve(document_text(retimed.document), new_film);
    Resolved const plain = resolve(document_text(with_plain_times(retimed.document, old.document)), new_film);
    double const millisecond = static_cast<double>(cut.rate.num) / cut.rate.den / 1000;
    std::vector<std::string> result;
    for (std::int64_t frame = 0; frame < cut.length(); ++frame) {
        Time const time = from_frame(frame, cut.rate);
        if (shown(exact.timeline, time) != expected(lesson, cut, frame, 0))
            result.push_back(fmt::format("{}: {} and not {}", frame, fmt::join(shown(exact.timeline, time), " "),
                                         fmt::join(expected(lesson, cut, frame, 0), " ")));
        // Times are written to the millisecond, and a picture up to 1 ms before a time counts as the one at it.
        Said const early = expected(lesson, cut, frame, 0.4 * millisecond);
        Said const late = expected(lesson, cut, frame, 1.6 * millisecond);
        Said const written = shown(plain.timeline, time + from_seconds(0.001));
        if (early == late && written != early)
            result.push_back(
                fmt::format("{}: {} is written and not {}", frame, fmt::join(written, " "), fmt::join(early, " ")));
    }
    return result;
}

struct Form {
    FrameRate rate;
    bool drop_frame;
};

class CutModel : public testing::TestWithParam<Form> {};
INSTANTIATE_TEST_SUITE_P(Rates, CutModel,
                         testing::Values(Form{{24, 1}, false}, Form{{25, 1}, false}, Form{{24000, 1001}, false},
                                         Form{{30000, 1001}, true}, Form{{30000, 1001}, false},
                                         Form{{60000, 1001}, true}));

constexpr unsigned kCuts = 40; // of each rate

TEST_P(CutModel, EveryPictureOfTheNewFilmHasTheCuesThatItHadBefore)
{
    std::int64_t pictures = 0;
    for (unsigned seed = 0; seed < kCuts; ++seed) {
        std::mt19937 random(seed);
        ModelLesson const lesson = random_lesson(random, GetParam().rate);
        ModelCut const cut = ModelCut::random(random, GetParam().rate, GetParam().drop_frame, lesson.length);
        for (std::int64_t frame = 0; frame < cut.length(); ++frame)
            pictures += expected(lesson, cut, frame, 0).empty() ? 0 : 1;
        CutOptions options;
        options.rate = cut.rate;
        options.footage = "lantern.mp4";
        options.footage_length = from_frame(lesson.length, cut.rate);
        std::int64_t const source_start = seed % 2 == 0 ? 0 : std::int64_t{36000} * cut.rate.num / cut.rate.den;
        options.source_start = cut.label(source_start);
        auto const by_edl = parse_edl_cut(cut.edl(source_start), options);
        ASSERT_TRUE(by_edl) << seed << ": " << by_edl.error().what << "\n" << cut.edl(source_start);
        EXPECT_EQ(differences(lesson, cut, by_edl->map), std::vector<std::string>{}) << seed << "\n"
                                                                                     << cut.edl(source_start);
        options.source_start.clear();
        auto const by_otio = parse_otio_cut(cut.otio(), options);
        ASSERT_TRUE(by_otio) << seed << ": " << by_otio.error().what << "\n" << cut.otio();
        EXPECT_EQ(differences(lesson, cut, by_otio->map), std::vector<std::string>{}) << seed << "\n" << cut.otio();
    }
    EXPECT_GT(pictures, 5000) << "with cues";
}

} // namespace
} // namespace tabard::pipeline
