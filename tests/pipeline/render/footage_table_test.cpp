#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

// Footage as people have it, one row a kind: what comes out of a render, or the words that refuse it. What comes out
// decodes without a complaint of ffmpeg's, shows the pictures that the footage shows, when it shows them, in its shape.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

/// What is done to a file's bytes after ffmpeg made it.
using Damage = void (*)(std::string& bytes);

void none(std::string&) {}
void lose_the_end(std::string& bytes) { bytes.resize(bytes.size() * 6 / 10); }
void keep_the_first_bytes(std::string& bytes) { bytes.resize(200); }
void blank_the_end(std::string& bytes)
{
    std::fill(bytes.begin() + static_cast<std::ptrdiff_t>(bytes.size() / 2), bytes.end(), '\0');
}
void blank_all(std::string& bytes) { std::fill(bytes.begin(), bytes.end(), '\0'); }
void become_text(std::string& bytes) { bytes = "Capo on the fourth fret, and slowly at first.\n"; }
void become_empty(std::string& bytes) { bytes.clear(); }
void gather_noise(std::string& bytes)
{
    for (std::size_t i = bytes.size() / 2; i < bytes.size() / 2 + 200; ++i)
        bytes[i] = static_cast<char>(i * 2654435761U >> 13);
}
void gather_zeros(std::string& bytes)
{
    std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(bytes.size() / 2), 200, '\0');
}
/// Noise that H.264 allows, without zeros, over the middle of a picture's slice: the pictures of an MP4 file of one
/// track lie one behind the other in its first `mdat`, each unit behind its size in four bytes (ISO/IEC
/// 14496-15, 5.3.4.2).
void put_noise_into_slice(std::string& bytes, int picture)
{
    std::size_t at = bytes.find("mdat") + 4;
    for (int slices = 0; at + 5 < bytes.size();) {
        std::size_t size = 0;
        for (int i = 0; i < 4; ++i)
            size = size << 8 | static_cast<unsigned char>(bytes[at++]);
        int const type = bytes[at] & 31;
        if ((type == 1 || type == 5) && slices++ == picture) {
            ASSERT_GT(size, 60U);
            for (std::size_t i = at + size / 3; i < at + 2 * size / 3; ++i)
                bytes[i] = static_cast<char>(1 + (i * 2654435761U >> 13) % 255);
            return;
        }
        at += size;
    }
    FAIL() << "there is no picture " << picture;
}
// Groups of four, or of two, at ten a second; the overlay is on screen from 0.4 to 0.8 s. Both sides of a seam are
// decoded once more.
void noise_where_it_is_touched(std::string& bytes) { put_noise_into_slice(bytes, 5); }
void noise_beside_a_seam(std::string& bytes) { put_noise_into_slice(bytes, 9); }
void noise_far_from_seams(std::string& bytes) { put_noise_into_slice(bytes, 1); }

void lose_packets(std::string& bytes)
{
    constexpr std::size_t kPacket = 188; // ISO/IEC 13818-1, 2.4.3.2
    for (std::size_t at = 40 * kPacket; at + kPacket < bytes.size(); at += 14 * kPacket)
        bytes.erase(at, kPacket);
}

/// The last picture of the first track lies behind the end of its edit (ISO/IEC 14496-12, 8.6.6): 100 of 1200 ms.
void end_the_edit_early(std::string& bytes)
{
    std::size_t const duration = bytes.find("elst") + 12;
    ASSERT_EQ(bytes.substr(duration, 4), std::string("\0\0\x04\xb0", 4));
    bytes.replace(duration, 4, std::string("\0\0\x04\x4c", 4));
}

enum class Comes {
    spliced, ///< what no overlay touches is copied
    whole,   ///< all pictures are encoded
    as_bad,  ///< spliced: a damaged picture is copied as it is, and only decoding shows it
    damaged, ///< some pictures are lost or guessed, and it is said how many
    lossy,   ///< copied as it is without what is missing, and it is said where
    refused,
};

struct FootageRow {
    char const* file; ///< what ffmpeg makes: its container is told by the name
    char const* pictures;
    char const* sound; ///< empty: none
    Damage damage;
    Comes comes;
    char const* words; ///< part of the reason, of a note or of the refusal; empty: nothing is said
};

constexpr char const* kH264 = "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 4";
constexpr char const* kWideH264 = "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 4 -vf setsar=16/11";
constexpr char const* kFieldsH264 =
    "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 4 -flags +ildct+ilme -x264-params tff=1";
constexpr char const* kOpenH264 =
    "-c:v libx264 -preset veryfast -pix_fmt yuv420p -x264-params open-gop=1:keyint=4:scenecut=0";
constexpr char const* kHevc = "-c:v libx265 -preset ultrafast -x265-params log-level=none -pix_fmt yuv420p -tag:v hvc1";
constexpr char const* kVp9 = "-c:v libvpx-vp9 -cpu-used 8 -pix_fmt yuv420p";
constexpr char const* kMpeg2 = "-c:v mpeg2video -pix_fmt yuv420p -q:v 4 -g 4 -r 25";
constexpr char const* kMotionJpeg = "-c:v mjpeg -pix_fmt yuvj420p -q:v 4";

FootageRow const kRows[] = {
    // Whole files.
    {"plain.mp4", kH264, "-c:a aac", none, Comes::spliced, ""},
    {"plain.mov", kH264, "-c:a pcm_s16le", none, Comes::spliced, "MP4 cannot hold the sound"},
    {"plain.mkv", kH264, "-c:a libopus", none, Comes::spliced, ""},
    {"wide.mp4", kWideH264, "-c:a aac", none, Comes::spliced, ""},
    {"wide.mkv", kWideH264, "", none, Comes::spliced, ""},
    {"fragments.mp4", "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 4 -movflags frag_keyframe+empty_moov",
     "-c:a aac", none, Comes::spliced, ""},
    {"fields.mp4", kFieldsH264, "", none, Comes::whole, "it is coded for interlaced frames"},
    {"open.mp4", kOpenH264, "", none, Comes::whole, "its groups of pictures are open"},
    {"ten_bits.mp4", "-c:v libx264 -preset ultrafast -pix_fmt yuv420p10le", "", none, Comes::whole,
     "it is not 8-bit 4:2:0"},
    {"plain.ts", kH264, "-c:a aac", none, Comes::whole, "this is mpegts"},
    {"wide.ts", kWideH264, "-c:a aac", none, Comes::whole, "this is mpegts"},
    {"plain.flv", kH264, "-c:a aac", none, Comes::whole, "this is flv"},
    {"plain.avi", kH264, "-c:a libmp3lame", none, Comes::whole, "this is avi"},
    {"hevc.mp4", kHevc, "-c:a aac", none, Comes::whole, "this is hevc"},
    {"hevc.mkv", kHevc, "-c:a flac", none, Comes::whole, "this is hevc"},
    {"vp9.webm", kVp9, "-c:a libopus", none, Comes::whole, "this is vp9"},
    {"vp9.mp4", kVp9, "", none, Comes::whole, "this is vp9"},
    {"vp8.webm", "-c:v libvpx -cpu-used 8 -pix_fmt yuv420p", "-c:a libvorbis", none, Comes::whole, "this is vp8"},
    {"mpeg4.avi", "-c:v mpeg4 -q:v 4 -pix_fmt yuv420p", "-c:a libmp3lame", none, Comes::whole, "this is avi"},
    {"mpeg2.mpg", kMpeg2, "-c:a mp2", none, Comes::whole, "this is mpeg"},
    {"mpeg2.mxf", kMpeg2, "-c:a pcm_s16le", none, Comes::whole, "this is mxf"},
    {"mjpeg.avi", kMotionJpeg, "-c:a pcm_s16le", none, Comes::whole, "this is avi"},
    {"mjpeg.mov", kMotionJpeg, "", none, Comes::whole, "this is mjpeg"},
    {"prores.mov", "-c:v prores_ks -profile:v 0", "-c:a pcm_s16le", none, Comes::whole, "this is prores"},
    {"wmv.asf", "-c:v wmv2 -q:v 4 -pix_fmt yuv420p", "-c:a wmav2", none, Comes::whole, "this is asf"},
    {"theora.ogv", "-c:v libtheora -q:v 7 -pix_fmt yuv420p", "-c:a libvorbis", none, Comes::whole, "this is ogg"},
    {"lossless.mkv", "-c:v ffv1 -pix_fmt yuv422p", "-c:a flac", none, Comes::whole, "this is ffv1"},
    {"rgb.mov", "-c:v png -pix_fmt rgb24", "", none, Comes::whole, "this is png"},
    // Damage, and what is no film.
    {"edit.mp4", "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 4 -bf 0", "", end_the_edit_early, Comes::spliced,
     ""},
    {"cut.mp4", kH264, "-c:a aac", lose_the_end, Comes::refused, "its beginning is damaged"},
    {"cut.ts", kH264, "", lose_the_end, Comes::whole, "this is mpegts"},
    {"noise.mp4", kH264, "", gather_noise, Comes::damaged, ""},
    {"headers.mkv", kH264, "", gather_noise, Comes::lossy,
     "is damaged: 3 frames are missing between 0:00.400 and 0:00.800"},
    {"holes.mp4", kH264, "", gather_zeros, Comes::damaged, "are damaged between 0:00"},
    {"touched_noise.mp4", kH264, "", noise_where_it_is_touched, Comes::damaged,
     "a frame of a touched group cannot be decoded"},
    {"noise_at_seam.mp4", kH264, "", noise_beside_a_seam, Comes::damaged, "reading the result again showed damage"},
    {"copied_noise.mp4", "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 2", "", noise_far_from_seams,
     Comes::as_bad, ""},
    {"lost.ts", kH264, "-c:a aac", lose_packets, Comes::damaged, "this is mpegts"},
    {"head.mp4", kH264, "", keep_the_first_bytes, Comes::refused, "this is no film or sound file that can be read"},
    {"head.mkv", kH264, "", keep_the_first_bytes, Comes::refused, "head.mkv"},
    {"blank.mp4", kH264, "", blank_all, Comes::refused, "this is no film or sound file that can be read"},
    {"half_blank.ts", kH264, "", blank_the_end, Comes::damaged, "this is mpegts"},
    {"text.mp4", kH264, "", become_text, Comes::refused, "this is no film or sound file that can be read"},
    {"empty.mkv", kH264, "", become_empty, Comes::refused, "this is no film or sound file that can be read"},
};

std::vector<std::string> words_of(std::string const& text)
{
    std::istringstream stream(text);
    return {std::istream_iterator<std::string>(stream), {}};
}

fs::path make_row(TemporaryFolder const& folder, FootageRow const& row)
{
    std::vector<std::string> words = words_of("ffmpeg -v error -y -f lavfi -i testsrc2=s=96x64:r=10");
    if (*row.sound)
        for (auto const& word : words_of("-f lavfi -i sine=440:r=48000 -ac 1"))
            words.push_back(word);
    for (auto const& part : {std::string(row.pictures), std::string(row.sound), std::string("-t 1.2")})
        for (auto const& word : words_of(part))
            words.push_back(word);
    fs::path const footage = folder / row.file;
    words.push_back(footage.string());
    ProgramRun const run = run_program(words);
    EXPECT_EQ(run.exit, 0) << run.err;
    std::string bytes = read_text(footage);
    row.damage(bytes);
    write_text(footage, bytes);
    return footage;
}

/// When pictures come on screen, from the first one on, in seconds.
std::vector<double> picture_times(fs::path const& film)
{
    std::vector<double> times;
    for (auto const& row : ffprobe_rows(film, "frame=best_effort_timestamp_time"))
        times.push_back(std::atof(row.c_str()));
    std::sort(times.begin(), times.end());
    double const first = times.empty() ? 0 : times.front();
    for (double& time : times)
        time -= first;
    return times;
}

double shape(fs::path const& film)
{
    auto const info = probe_film(film);
    return 1.0 * info->video->displayed.width / info->video->displayed.height;
}

std::string all_words(FilmReport const& report)
{
    std::string words = report.why_whole;
    for (auto const& note : report.notes)
        words += "\n" + note;
    return words;
}

void expect_film(FootageRow const& row, fs::path const& footage, fs::path const& film, FilmReport const& report)
{
    bool const copied = row.comes == Comes::spliced || row.comes == Comes::lossy || row.comes == Comes::as_bad;
    EXPECT_EQ(report.spliced, copied) << report.why_whole;
    EXPECT_THAT(all_words(report), HasSubstr(row.words));
    EXPECT_TRUE(*row.words || all_words(report).empty() || row.comes == Comes::damaged) << all_words(report);
    EXPECT_EQ(report.damage.none(), row.comes != Comes::damaged);
    auto const complaints = [](fs::path const& path) {
        return run_program({"ffmpeg", "-v", "error", "-i", path.string(), "-f", "null", "-"}).err;
    };
    EXPECT_EQ(complaints(film).empty(), row.comes != Comes::as_bad) << complaints(film);
    EXPECT_TRUE(row.comes != Comes::as_bad || !complaints(footage).empty()) << "the footage's own damage";
    EXPECT_NEAR(shape(film), shape(footage), 0.02);
    auto const times = picture_times(film);
    EXPECT_GT(times.size(), 2U);
    if (row.comes == Comes::damaged || row.comes == Comes::lossy)
        return;
    auto const wanted = picture_times(footage);
    ASSERT_EQ(times.size(), wanted.size());
    for (std::size_t i = 0; i < times.size(); ++i)
        EXPECT_NEAR(times[i], wanted[i], 0.0011) << i; // Matroska, FLV and ASF count milliseconds
}

TEST(Footage, OfEveryKindBecomesAFilmOrIsRefusedInWords)
{
    TemporaryFolder const folder;
    for (FootageRow const& row : kRows) {
        SCOPED_TRACE(row.file);
        fs::path const footage = make_row(folder, row);
        fs::path const target = folder / "film.mp4";
        FilmJob job = job_for(footage, target, {{from_seconds(0.4), from_seconds(0.8), text_scene()}});
        job.existing = Existing::replace;
        auto const report = render_film(job);
        if (row.comes == Comes::refused) {
            ASSERT_FALSE(report);
            EXPECT_THAT(report.error().what, HasSubstr(row.words));
            continue;
        }
        EXPECT_TRUE(report) << report.error().what;
        if (report)
            expect_film(row, footage, target, *report);
    }
}

} // namespace
} // namespace tabard::tests
