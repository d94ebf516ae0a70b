#include "pipeline/media/read/clock_watch.h"
#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/read/probe.h"
#include "pipeline/media/read/sound_reader.h"
#include "tests/pipeline/media/clips.h"

#include <algorithm>
#include <sstream>

#include <fmt/format.h>
#include <gtest/gtest.h>

// Films whose headers do not tell the truth about when they begin and end, or tell nothing.
namespace tabard::pipeline {
namespace {

using clips::make;
using clips::path_for;

/// ffprobe's own times of all packets of the pictures: when the first is shown, and when the last one is over.
struct Ends {
    double first = 1e9;
    double end = -1e9;
    int pictures = 0;
};

Ends ends_by_ffprobe(std::filesystem::path const& file)
{
    Ends ends;
    std::istringstream rows{clips::run(fmt::format("ffprobe -v quiet -select_streams v:0 -show_entries "
                                                   "packet=pts_time,duration_time -of default=nw=1:nk=1 '{}'",
                                                   file.string()))};
    double pts = 0;
    double duration = 0;
    while (rows >> pts >> duration) {
        ends.first = std::min(ends.first, pts);
        ends.end = std::max(ends.end, pts + duration);
        ++ends.pictures;
    }
    return ends;
}

double end_of(MediaInfo const& film) { return to_seconds(film.video->start + film.video->duration); }

std::filesystem::path cut_to(std::filesystem::path const& file, double share, std::string const& name)
{
    auto content = clips::bytes(file);
    content.resize(static_cast<std::size_t>(static_cast<double>(content.size()) * share));
    clips::write_bytes(path_for(name), content);
    return path_for(name);
}

TEST(FilmEnds, OfAFilmCopiedByHalfIsWhereItsLastPictureIs)
{
    auto const whole = clips::simple("whole_film.mp4", 8, 25, 25);
    struct Row {
        char const* name;
        char const* words;
    };
    for (Row const row :
         {Row{"front.mp4", "-movflags +faststart"}, Row{"film.mkv", ""}, Row{"front.mov", "-movflags +faststart"}}) {
        SCOPED_TRACE(row.name);
        auto const film = make(row.name, fmt::format("-i '{}' -c copy {}", whole.string(), row.words));
        auto const told = probe_film(film);
        ASSERT_TRUE(told) << told.error().what;
        EXPECT_FALSE(told->video->claimed_end);
        EXPECT_NEAR(end_of(*told), 8, 0.05);
        auto const half = cut_to(film, 0.6, std::string("half_") + row.name);
        auto const info = probe_film(half);
        ASSERT_TRUE(info) << info.error().what;
        EXPECT_NEAR(end_of(*info), ends_by_ffprobe(half).end, 0.05);
        EXPECT_LT(end_of(*info), 6.5);
        ASSERT_TRUE(info->video->claimed_end);
        EXPECT_NEAR(to_seconds(*info->video->claimed_end), 8, 0.05);
        ASSERT_EQ(info->notes.size(), 1U);
        EXPECT_NE(info->notes[0].find("though its header says 0:08.0"), std::string::npos) << info->notes[0];
    }
}

TEST(FilmEnds, AFilmOfWhichOnlyTheHeaderWasCopiedIsRefused)
{
    auto const film = make("header.mp4", fmt::format("-i '{}' -c copy -movflags +faststart",
                                                     clips::simple("for_header.mp4", 2, 25, 25).string()));
    auto content = clips::bytes(film);
    std::string const type = "mdat";
    auto const data = std::search(content.begin(), content.end(), type.begin(), type.end());
    content.erase(data + 4, content.end());
    clips::write_bytes(film, content);
    auto const info = probe_film(film);
    ASSERT_FALSE(info);
    EXPECT_EQ(info.error().kind, ErrorKind::decode);
    EXPECT_NE(info.error().what.find("header.mp4: "), std::string::npos) << info.error().what;
}

// Copying programs that give a file its size first leave zeros where they did not get to.
TEST(FilmEnds, OfAFilmWhoseRestIsZerosIsWhereTheZerosBegin)
{
    auto const whole = clips::simple("for_zeros.mp4", 8, 25, 25);
    for (char const* name : {"zeros.mp4", "zeros.mkv"}) {
        SCOPED_TRACE(name);
        auto const film = make(name, fmt::format("-i '{}' -c copy -movflags +faststart", whole.string()));
        auto content = clips::bytes(film);
        auto const there = content.size() * 6 / 10;
        std::fill(content.begin() + static_cast<std::ptrdiff_t>(there), content.end(), '\0');
        clips::write_bytes(film, content);
        auto const info = probe_film(film);
        ASSERT_TRUE(info) << info.error().what;
        content.resize(there);
        clips::write_bytes(path_for(std::string("short_") + name), content);
        EXPECT_NEAR(end_of(*info), ends_by_ffprobe(path_for(std::string("short_") + name)).end, 0.05);
        ASSERT_TRUE(info->video->claimed_end);
        EXPECT_NEAR(to_seconds(*info->video->claimed_end), 8, 0.05);
    }
}

TEST(FilmEnds, AreCountedWhereTheHeaderSaysNoLength)
{
    auto const film = clips::simple("source.mp4", 5, 25, 25);
    struct Row {
        char const* name;
        char const* words;
        double rate;
    };
    // A pipe cannot be gone back in, so that no length is written; FLV's header holds keyframes alone.
    for (Row const row : {Row{"piped.mkv", "-c copy -f matroska", 25}, Row{"piped.flv", "-c copy -f flv", 25},
                          Row{"piped.webm", "-r 20 -c:v libvpx -b:v 200k -c:a libvorbis -f webm", 20},
                          Row{"pieces.mp4", "-c copy -f mp4 -movflags frag_keyframe+empty_moov", 25},
                          Row{"piped.ts", "-c copy -f mpegts", 25}, Row{"piped.nut", "-c copy -f nut", 25}}) {
        SCOPED_TRACE(row.name);
        auto const file = path_for(row.name);
        clips::run(
            fmt::format("ffmpeg -nostdin -v error -i '{}' {} - > '{}'", film.string(), row.words, file.string()));
        auto const info = probe_film(file);
        ASSERT_TRUE(info) << info.error().what;
        auto const wanted = ends_by_ffprobe(file);
        EXPECT_EQ(info->video->pictures, wanted.pictures);
        EXPECT_NEAR(to_seconds(info->video->duration), wanted.end - wanted.first, 0.002);
        EXPECT_NEAR(end_of(*info), 5, 0.15);
        EXPECT_GE(info->duration, info->video->start + info->video->duration);
        EXPECT_NEAR(static_cast<double>(info->video->rate.num) / info->video->rate.den, row.rate, 1e-9);
        EXPECT_FALSE(info->video->claimed_end);
        EXPECT_TRUE(info->notes.empty());
    }
}

TEST(FilmEnds, AFilmWhoseSoundLastsLongerIsNotCopiedByHalf)
{
    auto const film = make("long_sound.mkv", "-f lavfi -i testsrc2=s=160x120:r=25:d=2 -f lavfi -i sine=440:d=9 "
                                             "-c:v libx264 -preset veryfast -c:a aac");
    auto const info = probe_film(film);
    ASSERT_TRUE(info);
    EXPECT_FALSE(info->video->claimed_end);
    EXPECT_NEAR(end_of(*info), 2, 0.05);
}

TEST(FilmEnds, TwoRecordingsPutOneBehindTheOtherAreRefusedAndNotSqueezed)
{
    auto const film = clips::simple("part_of_two.mp4", 3, 25, 25);
    auto const part = make("part.ts", fmt::format("-i '{}' -c copy", film.string()));
    auto joined = clips::bytes(part);
    auto const once = joined;
    joined.insert(joined.end(), once.begin(), once.end());
    auto const file = path_for("joined.ts");
    clips::write_bytes(file, joined);
    auto const info = probe_film(file);
    ASSERT_FALSE(info);
    EXPECT_EQ(info.error().kind, ErrorKind::decode);
    EXPECT_NE(info.error().what.find("joined.ts: the film's clock jumps from 0:02.9 to 0:00.0"), std::string::npos)
        << info.error().what;
    EXPECT_FALSE(MediaReader::open(file));

    auto const later = make("later.ts", fmt::format("-i '{}' -c copy -output_ts_offset 500", film.string()));
    auto const behind = clips::bytes(later);
    joined = once;
    joined.insert(joined.end(), behind.begin(), behind.end());
    clips::write_bytes(file, joined);
    auto const forwards = probe_film(file);
    ASSERT_FALSE(forwards);
    // 500 s are 8:20; decoding is two pictures of 1/25 s ahead.
    EXPECT_NE(forwards.error().what.find("to 8:19.9"), std::string::npos) << forwards.error().what;
}

TEST(FilmEnds, AFilmWhoseClockBeginsFarFromZeroCountsFromItsFirstPicture)
{
    auto const film = clips::simple("near.mp4", 2, 25, 25);
    for (char const* name : {"far.mkv", "far.ts", "far.flv", "far.nut"}) {
        SCOPED_TRACE(name);
        auto const far = make(name, fmt::format("-i '{}' -c copy -output_ts_offset 3600", film.string()));
        auto const info = probe_film(far);
        ASSERT_TRUE(info) << info.error().what;
        EXPECT_NEAR(to_seconds(info->video->start), 0, 0.05);
        EXPECT_NEAR(end_of(*info), 2, 0.1);
        ASSERT_EQ(info->notes.size(), 1U) << info->notes.back();
        EXPECT_NE(info->notes[0].find("The film's clock begins at 1:00:0"), std::string::npos) << info->notes[0];
        auto reader = MediaReader::open(far);
        ASSERT_TRUE(reader);
        EXPECT_NEAR(to_seconds(reader->next().value()->time()), 0, 0.05);
        ASSERT_TRUE(reader->seek(from_seconds(1.5)));
        EXPECT_NEAR(to_seconds(reader->next().value()->time()), 1.5, 0.05);
        auto sound = SoundReader::open(far, {8000, Channels::mono});
        ASSERT_TRUE(sound);
        std::size_t samples = 0;
        for (auto block = sound->next(); block && !block->empty(); block = sound->next())
            samples += block->size();
        EXPECT_NEAR(static_cast<double>(samples) / 8000, 2, 0.1);
    }
}

TEST(FilmEnds, DaysBetweenTwoPicturesAreDamage)
{
    struct Row {
        char const* name;
        int seconds;
        char const* words;
    };
    for (Row const row :
         {Row{"jump.mkv", 1'000'000, "the film's clock jumps from 0:01.0 to 277:46:41.0"}, // 10^6 s and 25 pictures
          Row{"jump.mp4", 100'000, "its frames would last until 27:46:42.0: the times in this file are damaged"}}) {
        SCOPED_TRACE(row.name);
        auto const film = make(row.name, fmt::format("-f lavfi -i testsrc2=s=64x48:r=25:d=2 -vf "
                                                     "\"setpts=PTS+gte(N\\,25)*{}/TB\" -fps_mode passthrough "
                                                     "-c:v libx264 -bf 0",
                                                     row.seconds));
        auto const info = probe_film(film);
        ASSERT_FALSE(info);
        EXPECT_EQ(info.error().kind, ErrorKind::decode);
        EXPECT_NE(info.error().what.find(row.words), std::string::npos) << info.error().what;
    }
}

// Pictures at 0, 20, 80 ... 980 ms, and the last of them for two seconds: 2.98 s, as ffprobe has it too.
TEST(FilmEnds, TheLastPictureOfAVariableRateKeepsItsLength)
{
    auto const film = make("squares.mp4", "-f lavfi -i testsrc2=s=160x120:r=25 -frames:v 8 -vf "
                                          "settb=1/1000,setpts=N*N*20 -fps_mode passthrough -enc_time_base 1/1000 "
                                          "-video_track_timescale 1000 -c:v libx264 -bf 0 -pix_fmt yuv420p");
    auto const source = make("long_last.mp4", fmt::format("-i '{}' -c copy -video_track_timescale 1000 -bsf:v "
                                                          "\"setts=duration=if(eq(N\\,7)\\,2000\\,DURATION)\"",
                                                          film.string()));
    ASSERT_EQ(clips::probed(source, "v:0", "stream=duration"), "2.980000");
    auto const info = probe_film(source);
    ASSERT_TRUE(info);
    EXPECT_NEAR(end_of(*info), 2.98, 1e-6);
    auto const made = path_for("long_last_out.mp4");
    auto const report = clips::rewrite(source, made);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(clips::picture_times(made), clips::picture_times(source));
    EXPECT_NEAR(std::stod(clips::probed(made, "v:0", "stream=duration")), 2.98, 0.002);
}

/// The edit list of the first track becomes one edit: `milliseconds` of the movie's clock from `media_time` on.
void set_edit(std::filesystem::path const& file, std::int32_t milliseconds, std::int32_t media_time)
{
    // ISO/IEC 14496-12, 8.6.6, version 0: entry count, then duration, media time and rate of each.
    auto content = clips::bytes(file);
    std::string const type = "elst";
    auto at = std::search(content.begin(), content.end(), type.begin(), type.end());
    ASSERT_NE(at, content.end());
    at += 4 + 4 + 4;
    for (std::int32_t const value : {milliseconds, media_time})
        for (int shift = 24; shift >= 0; shift -= 8)
            *at++ = static_cast<char>((static_cast<std::uint32_t>(value) >> shift) & 0xff);
    clips::write_bytes(file, content);
}

// The edit begins 0.08 s (1024 ticks of 1/12800 s) before the first picture's composition time, and lasts 5 s. By
// ISO/IEC 14496-12 nothing is shown for 0.08 s, then pictures 0 to 122. libavformat, and with it most players, moves
// the track so that its first picture comes at once; that is followed here, and the last picture stays until the edit
// is over: the film lasts the 5 s that both say, and was 0.08 s short.
TEST(FilmEnds, AnEditThatBeginsBeforeTheFirstPictureLastsAsLongAsItSays)
{
    auto const film = make("edit.mp4", "-f lavfi -i testsrc2=s=160x120:r=25:d=5 -c:v libx264 -preset veryfast -g 25 "
                                       "-pix_fmt yuv420p -video_track_timescale 12800");
    set_edit(film, 5000, 0);
    auto reader = MediaReader::open(film);
    ASSERT_TRUE(reader);
    int pictures = 0;
    Time first{-1};
    Time end{};
    while (auto picture = reader->next().value()) {
        if (pictures++ == 0)
            first = picture->time();
        end = picture->time() + picture->duration();
    }
    EXPECT_EQ(pictures, 123);
    EXPECT_EQ(first, Time{0});
    EXPECT_EQ(end, from_seconds(5));
    EXPECT_NEAR(end_of(reader->info()), 5, 1e-6);
    auto const made = path_for("edit_out.mp4");
    ASSERT_TRUE(clips::rewrite(film, made));
    EXPECT_NEAR(std::stod(clips::probed(made, "v:0", "stream=duration")), 5, 0.002);
}

// An edit from 0.68 s of the film on, inside its first group: 3 s are 75 pictures of 1/25 s, from the very first on.
TEST(FilmEnds, AnEditThatBeginsInsideAGroupLastsAsLongAsItSays)
{
    auto const film = make("inside.mp4", "-f lavfi -i testsrc2=s=160x120:r=25:d=5 -c:v libx264 -preset veryfast -g 25 "
                                         "-pix_fmt yuv420p -video_track_timescale 12800");
    set_edit(film, 3000, 1024 + 17 * 512);
    auto const made = path_for("inside_out.mp4");
    ASSERT_TRUE(clips::rewrite(film, made));
    auto const times = clips::picture_times(made);
    ASSERT_EQ(times.size(), 75U);
    EXPECT_EQ(times.front(), "0.000000");
    EXPECT_EQ(clips::probed(made, "v:0", "stream=duration"), "3.000000");
}

TEST(FilmEnds, OneBrokenTimeStampIsNoNewClock)
{
    ClockWatch watch(from_seconds(10));
    for (int n = 0; n < 100; ++n)
        EXPECT_EQ(watch.add(n == 50 ? from_seconds(5000) : from_frame(n, {25, 1})), n != 50) << n;
    EXPECT_FALSE(watch.restart());
    for (int n = 0; n < 5; ++n)
        EXPECT_FALSE(watch.add(from_frame(n, {25, 1})));
    ASSERT_TRUE(watch.restart());
    EXPECT_EQ(watch.restart()->from, from_frame(99, {25, 1}));
    EXPECT_EQ(watch.restart()->to, Time{0});
}

} // namespace
} // namespace tabard::pipeline
