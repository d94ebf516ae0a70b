#include "pipeline/media/read/film_flaws.h"
#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/read/probe.h"
#include "pipeline/media/read/sound_reader.h"
#include "pipeline/media/read/stamp_choice.h"
#include "tests/pipeline/media/clips.h"

#include <algorithm>
#include <string_view>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// Single times in a file that are wrong, by bits that changed on the way: pictures and sound around them stay where
// they are.
namespace tabard::pipeline {
namespace {

using clips::make;
using clips::path_for;
using testing::HasSubstr;

unsigned number_at(std::vector<char> const& content, std::size_t at, std::size_t bytes)
{
    unsigned value = 0;
    for (std::size_t i = 0; i < bytes; ++i)
        value = value << 8 | static_cast<unsigned char>(content.at(at + i));
    return value;
}

void put_number(std::vector<char>& content, std::size_t at, std::size_t bytes, unsigned value)
{
    for (std::size_t i = 0; i < bytes; ++i)
        content.at(at + i) = static_cast<char>(value >> 8 * (bytes - 1 - i));
}

/// Sets the time of tag `count` of a kind, 8 for sound and 9 for pictures, in an FLV file (Adobe, Video File Format
/// Specification 10.1, annex E.4.1: type, size, time in milliseconds with its highest byte last). Gives what it was.
unsigned set_flv_time(std::filesystem::path const& file, unsigned kind, int count, unsigned milliseconds)
{
    auto content = clips::bytes(file);
    for (std::size_t tag = 13; tag + 11 < content.size(); tag += 11 + number_at(content, tag + 1, 3) + 4) {
        if (number_at(content, tag, 1) != kind || count-- > 0)
            continue;
        unsigned const before = number_at(content, tag + 7, 1) << 24 | number_at(content, tag + 4, 3);
        put_number(content, tag + 4, 3, milliseconds & 0xFFFFFF);
        put_number(content, tag + 7, 1, milliseconds >> 24);
        clips::write_bytes(file, content);
        return before;
    }
    ADD_FAILURE() << "no such tag";
    return 0;
}

/// The place of the first cluster's timestamp after byte `from` in a Matroska file (RFC 9559: IDs 1F43B675 and E7), and
/// how many bytes it has.
struct Stamp {
    std::size_t at = 0;
    std::size_t bytes = 0;
};
Stamp cluster_after(std::vector<char> const& content, std::size_t from)
{
    constexpr std::string_view kCluster = "\x1F\x43\xB6\x75";
    auto const found = std::search(content.begin() + static_cast<std::ptrdiff_t>(from), content.end(), kCluster.begin(),
                                   kCluster.end());
    EXPECT_NE(found, content.end());
    auto at = static_cast<std::size_t>(found - content.begin()) + 4;
    while (number_at(content, at, 1) != 0xE7)
        ++at;
    return {at + 2, number_at(content, at + 1, 1) & 0x7F};
}

/// Sets the time, from its cluster on, of block `count` of a track in the third cluster (RFC 9559, 10.2: SimpleBlock
/// A3, track, time of 16 bits).
void set_block_time(std::filesystem::path const& file, unsigned track, int count, int milliseconds)
{
    auto content = clips::bytes(file);
    Stamp stamp;
    for (int cluster = 0; cluster < 3; ++cluster)
        stamp = cluster_after(content, stamp.at);
    for (std::size_t at = stamp.at + stamp.bytes; number_at(content, at, 1) == 0xA3;) {
        unsigned const first = number_at(content, at + 1, 1);
        std::size_t length = 1;
        while ((first & (0x80U >> (length - 1))) == 0)
            ++length;
        unsigned const size = number_at(content, at + 1, length) & ((1U << 7 * length) - 1);
        std::size_t const block = at + 1 + length;
        if (number_at(content, block, 1) == (0x80U | track) && count-- == 0) {
            put_number(content, block + 1, 2, static_cast<unsigned>(milliseconds) & 0xFFFF);
            clips::write_bytes(file, content);
            return;
        }
        at = block + size;
    }
    ADD_FAILURE() << "no such block";
}

std::filesystem::path matroska(std::string const& name)
{
    return make(name, "-f lavfi -i testsrc2=s=64x48:r=25 -f lavfi -i sine=r=48000 -t 8 -g 25 -bf 2 -c:v libx264 -c:a "
                      "aac -cluster_time_limit 2000");
}

/// Times of all pictures as they are read, and how many were set right.
struct Pictures {
    std::vector<Time> times;
    std::int64_t repaired = 0;
};
Pictures pictures_of(std::filesystem::path const& film)
{
    auto reader = MediaReader::open(film);
    EXPECT_TRUE(reader) << reader.error().what;
    Pictures pictures;
    for (auto picture = reader->next(); picture && *picture; picture = reader->next())
        pictures.times.push_back((*picture)->time());
    pictures.repaired = reader->damage().repaired_times;
    return pictures;
}

// 134,217,728 ms: one bit of the highest byte.
TEST(BrokenTimes, OfOnePictureInFlvIsSetRight)
{
    for (unsigned const milliseconds : {134'217'728U + 1000, 100'000'000U, 600U}) {
        SCOPED_TRACE(milliseconds);
        auto const film = make("broken_time.flv", "-f lavfi -i testsrc2=s=64x48:r=10:d=3 -c:v flv1 -g 10");
        ASSERT_EQ(set_flv_time(film, 9, 10, milliseconds), 1000U);
        auto const info = probe_film(film);
        ASSERT_TRUE(info) << info.error().what;
        EXPECT_NEAR(to_seconds(info->video->start + info->video->duration), 3, 1e-6);
        auto const read = pictures_of(film);
        ASSERT_EQ(read.times.size(), 30U);
        for (int i = 0; i < 30; ++i)
            if (i != 10 || milliseconds > 1000) {
                EXPECT_EQ(read.times[static_cast<std::size_t>(i)], from_ticks(i, 1, 10)) << i;
            }
        EXPECT_EQ(read.repaired, 1);
    }
}

// libavcodec's best guess would be the time of decoding for all pictures after it, a picture late.
TEST(BrokenTimes, OfOnePictureInMatroskaMoveNoOther)
{
    auto const whole = pictures_of(matroska("times.mkv")).times;
    ASSERT_EQ(whole.size(), 200U);
    for (int const milliseconds : {20'000, -1500}) {
        SCOPED_TRACE(milliseconds);
        auto const film = matroska("block.mkv");
        set_block_time(film, 1, 10, milliseconds);
        auto const read = pictures_of(film);
        ASSERT_EQ(read.times.size(), whole.size());
        int moved = 0;
        for (std::size_t i = 0; i < whole.size(); ++i)
            moved += read.times[i] != whole[i];
        EXPECT_LE(moved, 1);
        EXPECT_EQ(read.repaired, 1);
    }
}

TEST(StampChoice, PresentationStampsThatGoBackAgainAndAgainAreDecodingTimes)
{
    StampChoice choice(500);
    EXPECT_EQ(choice.choose(0, 0), 0);
    EXPECT_EQ(choice.choose(120, 40), 120);
    EXPECT_EQ(choice.choose(80, 80), 80); // one more that goes back: from here on the others
    EXPECT_EQ(choice.choose(240, 120), 120);
    EXPECT_EQ(choice.choose(std::nullopt, 160), 160);
    EXPECT_EQ(choice.choose(200, std::nullopt), 200);
    EXPECT_EQ(choice.choose(std::nullopt, std::nullopt), std::nullopt);
}

TEST(StampChoice, AStampThatIsFarAwayTellsNothing)
{
    StampChoice choice(500);
    EXPECT_EQ(choice.choose(0, -80), 0);
    EXPECT_EQ(choice.choose(90'000, -40), 90'000);
    EXPECT_EQ(choice.choose(80, 0), 80);
    EXPECT_EQ(choice.choose(-5'000, 40), -5'000);
    EXPECT_EQ(choice.choose(160, 80), 160);
}

TEST(BrokenTimes, OfAWholeClusterAreRefusedByAllWhoReadIt)
{
    auto const film = matroska("cluster.mkv");
    auto content = clips::bytes(film);
    Stamp const second = cluster_after(content, cluster_after(content, 0).at);
    put_number(content, second.at, second.bytes, number_at(content, second.at, second.bytes) + 30'000);
    clips::write_bytes(film, content);
    auto reader = MediaReader::open(film);
    ASSERT_TRUE(reader) << reader.error().what; // its header and its end are in order
    auto picture = reader->next();
    while (picture && *picture)
        picture = reader->next();
    ASSERT_FALSE(picture);
    EXPECT_THAT(picture.error().what, HasSubstr("the film's clock jumps from 0:3"));
    auto coded = CodedFilm::open(film);
    ASSERT_TRUE(coded);
    auto const flaws = find_flaws(*coded);
    ASSERT_FALSE(flaws);
    EXPECT_THAT(flaws.error().what, HasSubstr("the film's clock jumps from 0:3"));
}

std::vector<double> sound_times(std::filesystem::path const& film)
{
    std::vector<double> times;
    for (auto const& packet : clips::packets(film, "a:0"))
        times.push_back(std::stod(packet.pts));
    return times;
}

TEST(BrokenTimes, OfOnePacketOfSoundMoveNoOther)
{
    auto const make_flv = [](std::string const& name) {
        return make(name, "-f lavfi -i testsrc2=s=64x48:r=10 -f lavfi -i sine=r=44100 -t 3 -c:v flv1 -g 10 -c:a aac");
    };
    auto const whole = make_flv("sound.flv");
    ASSERT_TRUE(clips::rewrite(whole, path_for("sound.mp4")));
    auto const expected = sound_times(path_for("sound.mp4"));
    for (unsigned const milliseconds : {100'500U, 134'217'728U + 500, 2'500U, 3U}) {
        SCOPED_TRACE(milliseconds);
        auto const film = make_flv("broken_sound.flv");
        set_flv_time(film, 8, 40, milliseconds);
        auto const report = clips::rewrite(film, path_for("broken_sound.mp4"));
        ASSERT_TRUE(report) << report.error().what;
        auto const times = sound_times(path_for("broken_sound.mp4"));
        ASSERT_EQ(times.size(), expected.size());
        for (std::size_t i = 0; i < times.size(); ++i)
            EXPECT_NEAR(times[i], expected[i], 0.002) << i;
        EXPECT_THAT(report->notes, testing::Contains(HasSubstr("1 packet had a wrong time, which was set right")));

        auto sound = SoundReader::open(film, {8000, Channels::mono});
        ASSERT_TRUE(sound);
        std::size_t samples = 0;
        for (auto block = sound->next(); block && !block->empty(); block = sound->next())
            samples += block->size();
        EXPECT_NEAR(static_cast<double>(samples) / 8000, 3, 0.1);
    }
}

// ISO/IEC 14496-3, 1.6.2.1: 5 bits of object type, 4 of rate, 4 of channel configuration, of which 15 is reserved. An
// MP4 that holds it does not open.
TEST(BrokenSoundHeader, IsLeftOutAndNamed)
{
    auto const film = make("header.flv", "-f lavfi -i testsrc2=s=64x48:r=10 -f lavfi -i sine=r=44100 -t 1 -c:v flv1 "
                                         "-c:a aac");
    auto content = clips::bytes(film);
    constexpr std::string_view kHeader{"\xAF\x00\x12", 3};
    auto const at = std::search(content.begin(), content.end(), kHeader.begin(), kHeader.end());
    ASSERT_NE(at, content.end());
    at[3] = 0x78;
    clips::write_bytes(film, content);
    for (char const* target : {"header_out.mp4", "header_out.mkv"}) {
        SCOPED_TRACE(target);
        auto const report = clips::rewrite(film, path_for(target));
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_THAT(report->notes, testing::Contains(HasSubstr("what its header says is no such sound")));
        EXPECT_EQ(clips::picture_times(path_for(target)).size(), 10U);
        EXPECT_EQ(clips::packets(path_for(target), "a:0").size(), 0U);
    }
}

// A pause in the sound is none: the packets after it come later, too.
TEST(BrokenTimes, APauseInTheSoundStays)
{
    auto const film =
        make("pause.mkv", "-f lavfi -i testsrc2=s=64x48:r=10 -f lavfi -i \"aevalsrc=sin(2000*t):s=48000,aselect="
                          "'lt(t,1)+gt(t,3)'\" -t 5 -c:v libx264 -c:a libopus");
    auto const report = clips::rewrite(film, path_for("pause_out.mkv"));
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(sound_times(path_for("pause_out.mkv")), sound_times(film));
    EXPECT_THAT(report->notes, testing::Not(testing::Contains(HasSubstr("wrong time"))));
}

} // namespace
} // namespace tabard::pipeline
