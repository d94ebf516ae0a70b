#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/read/picture_times.h"
#include "pipeline/media/read/probe.h"
#include "tests/pipeline/media/clips.h"

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

// Edit lists of MP4 files: what ISO/IEC 14496-12 says must come out, counted from the boxes themselves, and what does.
namespace tabard::pipeline {
namespace {

using clips::make;
using clips::path_for;

/// 8.6.6: `length` in ticks of the movie's clock; `media_time` in ticks of the track's, -1 for an empty edit.
struct Edit {
    std::int64_t length = 0;
    std::int64_t media_time = 0;
    int rate = 1; ///< 0 holds a picture
};

std::uint64_t number(std::vector<char> const& bytes, std::size_t at, int count)
{
    std::uint64_t value = 0;
    for (int i = 0; i < count; ++i)
        value = value << 8 | static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(i)]);
    return value;
}

void append(std::vector<char>& bytes, std::uint64_t value, int count)
{
    for (int shift = 8 * (count - 1); shift >= 0; shift -= 8)
        bytes.push_back(static_cast<char>(value >> shift & 0xff));
}

/// Where the first box of that path is, from the first of each kind to its children (4.2: size, type, content).
std::optional<std::size_t> find_box(std::vector<char> const& bytes, std::vector<std::string_view> const& path)
{
    std::size_t at = 0;
    std::size_t end = bytes.size();
    for (std::size_t depth = 0; depth < path.size(); ++depth) {
        while (at + 8 <= end && std::string_view(&bytes[at + 4], 4) != path[depth])
            at += number(bytes, at, 4);
        if (at + 8 > end)
            return std::nullopt;
        if (depth + 1 < path.size()) {
            end = at + number(bytes, at, 4);
            at += 8;
        }
    }
    return at;
}

/// Replaces the edit list of the first track. The movie box is the last one: nothing behind it moves.
void set_edits(std::filesystem::path const& file, std::vector<Edit> const& edits, int version)
{
    auto bytes = clips::bytes(file);
    std::vector<char> box;
    int const width = version == 0 ? 4 : 8;
    append(box, 16 + edits.size() * static_cast<std::size_t>(2 * width + 4), 4);
    for (char const letter : std::string_view("elst"))
        box.push_back(letter);
    append(box, static_cast<std::uint64_t>(version) << 24, 4);
    append(box, edits.size(), 4);
    for (Edit const& edit : edits) {
        append(box, static_cast<std::uint64_t>(edit.length), width);
        append(box, static_cast<std::uint64_t>(edit.media_time), width);
        append(box, static_cast<std::uint64_t>(edit.rate) << 16, 4);
    }
    auto const list = find_box(bytes, {"moov", "trak", "edts", "elst"});
    ASSERT_TRUE(list);
    std::size_t const old = number(bytes, *list, 4);
    for (std::vector<std::string_view> const& parent :
         std::vector<std::vector<std::string_view>>{{"moov"}, {"moov", "trak"}, {"moov", "trak", "edts"}}) {
        std::size_t const at = *find_box(bytes, parent);
        std::vector<char> size;
        append(size, number(bytes, at, 4) + box.size() - old, 4);
        std::copy(size.begin(), size.end(), bytes.begin() + static_cast<std::ptrdiff_t>(at));
    }
    auto const place = bytes.begin() + static_cast<std::ptrdiff_t>(*list);
    bytes.insert(bytes.erase(place, place + static_cast<std::ptrdiff_t>(old)), box.begin(), box.end());
    clips::write_bytes(file, bytes);
}

/// A picture on the track's own clock, numbered in the order of showing, and on the movie's, in seconds.
struct Shown {
    std::size_t number = 0;
    double at = 0;
};

/// What a track's boxes say.
struct Track {
    double clock = 1; ///< ticks a second
    double movie_clock = 1;
    std::vector<double> composed; ///< composition times, rising
    double end = 0;               ///< of the last one
    double length = 0;            ///< seconds, of all
};

/// 8.6.1.2 and 8.6.1.3: decoding times are sums of `stts`, composition times are those and `ctts`.
Track track_of(std::vector<char> const& bytes)
{
    std::vector<std::string_view> const table{"moov", "trak", "mdia", "minf", "stbl", ""};
    auto const entries = [&](std::string_view name) {
        std::vector<std::int64_t> values; // one for each picture
        auto path = table;
        path.back() = name;
        auto const at = find_box(bytes, path);
        for (std::size_t i = 0; at && i < number(bytes, *at + 12, 4); ++i)
            values.insert(values.end(), number(bytes, *at + 16 + 8 * i, 4),
                          static_cast<std::int32_t>(number(bytes, *at + 20 + 8 * i, 4)));
        return values;
    };
    Track track;
    track.movie_clock = static_cast<double>(number(bytes, *find_box(bytes, {"moov", "mvhd"}) + 20, 4));
    track.clock = static_cast<double>(number(bytes, *find_box(bytes, {"moov", "trak", "mdia", "mdhd"}) + 20, 4));
    auto const steps = entries("stts");
    auto offsets = entries("ctts");
    offsets.resize(steps.size());
    std::int64_t decoded = 0;
    for (std::size_t i = 0; i < steps.size(); decoded += steps[i++]) {
        track.composed.push_back(static_cast<double>(decoded + offsets[i]));
        track.end = std::max(track.end, static_cast<double>(decoded + offsets[i] + steps[i]));
    }
    std::sort(track.composed.begin(), track.composed.end());
    track.length = static_cast<double>(decoded) / track.clock;
    return track;
}

struct Presentation {
    std::vector<Shown> pictures;
    double end = 0;
};

/// 8.6.6: edits follow each other on the movie's clock; each shows its part of the track, an empty one nothing.
Presentation presentation(Track const& track, std::vector<Edit> const& edits)
{
    Presentation shown;
    for (Edit const& edit : edits) {
        double const length = static_cast<double>(edit.length) / track.movie_clock;
        auto const from = static_cast<double>(edit.media_time);
        double const to = from + length * track.clock;
        for (std::size_t i = 0; edit.media_time >= 0 && i < track.composed.size(); ++i) {
            double const over = i + 1 < track.composed.size() ? track.composed[i + 1] : track.end;
            if (over > from && track.composed[i] < to)
                shown.pictures.push_back({i, shown.end + std::max(0.0, track.composed[i] - from) / track.clock});
        }
        shown.end += length;
    }
    return shown;
}

enum class Reading {
    standard, ///< as ISO/IEC 14496-12 says
    moved,    ///< as it says, but that the first picture comes when its first edit begins
    whole,    ///< likewise, and without a first picture that began before its edit
};

struct Row {
    char const* name;
    char const* coding;
    std::vector<Edit> edits; ///< empty: as ffmpeg wrote it
    Reading reading;
    int version = 0;
};

// 25 pictures a second on a clock of 1/12800 s: 512 ticks each. With pictures that wait for others the first one's
// composition time is 1024.
constexpr char const* kReordered = "-bf 2";
constexpr char const* kInOrder = "-bf 0";
constexpr char const* kBefore = "-bf 2 -movflags negative_cts_offsets"; // ctts of version 1
Row const kRows[] = {
    {"as written", kReordered, {{4000, 1024}}, Reading::standard},
    {"as written, in order", kInOrder, {{4000, 0}}, Reading::standard},
    {"offsets below zero", kBefore, {{4000, 0}}, Reading::standard},
    {"from before the first picture", kReordered, {{4000, 0}}, Reading::moved},
    {"late, and from before the first picture", kReordered, {{750, -1}, {4000, 0}}, Reading::moved},
    {"late", kReordered, {{750, -1}, {4000, 1024}}, Reading::standard},
    {"late, in 64 bits", kReordered, {{750, -1}, {3000, 1024}}, Reading::standard, 1},
    {"late by half a picture, in 64 bits", kReordered, {{20, -1}, {3000, 1024}}, Reading::standard, 1},
    {"inside a group", kReordered, {{2000, 1024 + 17 * 512}}, Reading::standard},
    {"inside a group, in 64 bits", kReordered, {{2000, 1024 + 17 * 512}}, Reading::standard, 1},
    {"inside a group, offsets below zero", kBefore, {{2000, 17 * 512}}, Reading::standard},
    {"inside a picture", kReordered, {{2000, 1024 + 17 * 512 + 256}}, Reading::whole},
    {"inside a picture, in order", kInOrder, {{2000, 256}}, Reading::whole},
    {"two stretches", kReordered, {{1000, 1024}, {1000, 1024 + 60 * 512}}, Reading::standard},
    {"two stretches, in order", kInOrder, {{1000, 0}, {1000, 60 * 512}}, Reading::standard},
    {"one stretch twice", kReordered, {{1000, 1024}, {1000, 1024}}, Reading::standard},
    {"the later stretch first", kInOrder, {{1000, 50 * 512}, {1000, 0}}, Reading::standard},
    {"an early end", kReordered, {{1100, 1024}}, Reading::standard},
    {"an end beyond the last picture", kReordered, {{6000, 1024}}, Reading::standard},
};

/// How far libavformat's reading is from the standard's, which pipeline/media/media_info.h says.
Presentation as_read(Row const& row, Presentation standard, Track const& track)
{
    if (row.reading == Reading::whole)
        standard.pictures.erase(standard.pictures.begin());
    auto const first =
        std::find_if(row.edits.begin(), row.edits.end(), [](Edit const& e) { return e.media_time >= 0; });
    double const begins = first == row.edits.begin() ? 0 : static_cast<double>(row.edits[0].length) / track.movie_clock;
    double const late = standard.pictures.front().at - begins;
    EXPECT_EQ(row.reading == Reading::standard, late < 1e-9) << "the row says what the standard does not";
    for (Shown& picture : standard.pictures)
        picture.at -= late;
    standard.end = std::min(standard.end, begins + track.length);
    return standard;
}

std::vector<std::vector<std::uint8_t>> all_luma(std::filesystem::path const& film, std::vector<Time>* times = nullptr,
                                                Time* end = nullptr)
{
    std::vector<std::vector<std::uint8_t>> pictures;
    auto reader = MediaReader::open(film);
    EXPECT_TRUE(reader) << reader.error().what;
    while (auto picture = reader->next().value()) {
        PlaneView const plane = picture->view().planes[0];
        auto const* const data = reinterpret_cast<std::uint8_t const*>(plane.data);
        std::vector<std::uint8_t> luma;
        for (int y = 0; y < plane.height; ++y)
            luma.insert(luma.end(), data + y * plane.stride, data + y * plane.stride + plane.width);
        pictures.push_back(std::move(luma));
        if (times)
            times->push_back(picture->time());
        if (end)
            *end = picture->time() + picture->duration();
    }
    return pictures;
}

std::filesystem::path film_for(Row const& row, std::string const& name)
{
    return make(name, std::string("-f lavfi -i testsrc2=s=160x120:r=25:d=4 -f lavfi -i sine=440:r=48000:d=4 -c:v "
                                  "libx264 -preset veryfast -g 25 -pix_fmt yuv420p -video_track_timescale 12800 ") +
                          row.coding + " -c:a aac");
}

// The sound's own edit list stays as ffmpeg wrote it, so film time 0 is where it begins: the time of the first picture
// is its time against the sound.
TEST(EditList, ShowsThePicturesThatItsBoxesSayWhenTheySay)
{
    for (Row const& row : kRows) {
        SCOPED_TRACE(row.name);
        auto const film = film_for(row, "edits.mp4");
        auto const pictures = all_luma(film);
        ASSERT_EQ(pictures.size(), 100U);
        set_edits(film, row.edits, row.version);
        Track const track = track_of(clips::bytes(film));
        Presentation const wanted = as_read(row, presentation(track, row.edits), track);

        std::vector<Time> times;
        Time end{};
        auto const seen = all_luma(film, &times, &end);
        ASSERT_EQ(seen.size(), wanted.pictures.size());
        for (std::size_t i = 0; i < seen.size(); ++i) {
            EXPECT_NEAR(to_seconds(times[i]), wanted.pictures[i].at, 1e-6) << i;
            EXPECT_TRUE(seen[i] == pictures[wanted.pictures[i].number]) << i;
        }
        auto coded = CodedFilm::open(film);
        ASSERT_TRUE(coded);
        EXPECT_EQ(read_picture_times(*coded).value(), times) << "what plans count by";
        auto const info = probe_film(film);
        ASSERT_TRUE(info);
        EXPECT_EQ(info->video->start, times.front());
        EXPECT_EQ(info->video->rate, (FrameRate{25, 1}));
        EXPECT_FALSE(info->video->variable_rate);
        EXPECT_NEAR(to_seconds(end), wanted.end, 0.002);
        EXPECT_NEAR(to_seconds(info->video->start + info->video->duration), wanted.end, 0.002);

        auto const made = path_for("edits_out.mp4");
        auto const written = clips::rewrite(film, made);
        ASSERT_TRUE(written) << written.error().what;
        std::vector<Time> times_made;
        all_luma(made, &times_made);
        EXPECT_EQ(times_made, times);
        EXPECT_NEAR(std::stod(clips::probed(made, "v:0", "stream=duration")), to_seconds(end - times.front()), 0.002);
    }
}

// What pipeline/media/media_info.h says is not followed: by the standard nothing is shown from 1 to 1.5 s of the first,
// and of the second the picture at 0 s until 1 s. Reading, planning and the film's length agree all the same.
TEST(EditList, ReadsAPauseAndAHeldPictureAsPicturesThatGoOn)
{
    for (auto const& [name, edits] : {std::pair{"a pause", std::vector<Edit>{{1000, 1024}, {500, -1}, {1000, 26624}}},
                                      std::pair{"held", std::vector<Edit>{{1000, 1024, 0}, {1500, 1024}}}}) {
        SCOPED_TRACE(name);
        auto const film = film_for(kRows[0], "odd_edits.mp4");
        set_edits(film, edits, 0);
        std::vector<Time> times;
        Time end{};
        auto const seen = all_luma(film, &times, &end);
        auto const moving = [&](double from, double to) {
            int pictures = 0;
            for (std::size_t i = 1; i < times.size(); ++i)
                pictures += to_seconds(times[i]) > from && to_seconds(times[i]) < to && seen[i] != seen[i - 1];
            return pictures;
        };
        EXPECT_GT(name == std::string_view("held") ? moving(0.01, 1) : moving(1.01, 1.5), 5);
        EXPECT_NEAR(to_seconds(end), 2.5, 0.002);
        auto coded = CodedFilm::open(film);
        ASSERT_TRUE(coded);
        EXPECT_EQ(read_picture_times(*coded).value(), times);
        EXPECT_NEAR(to_seconds(probe_film(film)->video->duration), 2.5, 0.002);
    }
}

} // namespace
} // namespace tabard::pipeline
