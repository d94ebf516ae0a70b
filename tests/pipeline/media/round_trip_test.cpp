#include "pipeline/media/read/probe.h"
#include "pipeline/media/write/copy_film.h"
#include "tests/pipeline/media/clips.h"

#include <array>
#include <filesystem>
#include <string>
#include <utility>

#include <fmt/format.h>
#include <gtest/gtest.h>

// What a film keeps on its way through our reader and writer, as ffprobe reads it back.
namespace tabard::pipeline {
namespace {

using clips::make;
using clips::path_for;
using clips::rewrite;

constexpr char const* kPicture = "-f lavfi -i testsrc2=s=160x120:r=30 ";
constexpr char const* kFast = " -c:v libx264 -preset veryfast -pix_fmt yuv420p ";

void expect_same_times(std::filesystem::path const& source, std::filesystem::path const& made)
{
    auto const wanted = clips::picture_times(source);
    ASSERT_GT(wanted.size(), 3U);
    EXPECT_EQ(clips::picture_times(made), wanted);
}

TEST(RoundTrip, KeepsEveryPictureTimeAndEverySoundPacket)
{
    auto const source = clips::simple("plain.mp4");
    auto const made = path_for("plain_out.mp4");
    auto const report = rewrite(source, made);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(report->pictures, 60);
    EXPECT_TRUE(report->notes.empty()) << report->notes.front();
    EXPECT_EQ(static_cast<std::uintmax_t>(report->bytes), std::filesystem::file_size(made));
    expect_same_times(source, made);
    auto const sound = clips::packets(source, "a:0");
    ASSERT_GT(sound.size(), 90U); // 2 s of 48 kHz in packets of 1024: 94
    EXPECT_EQ(clips::packets(made, "a:0"), sound);
}

// A phone's clock: 33 and 34 ms by turns on a 1/600 or 1/1000 clock, and a first picture that stays for 400 ms.
TEST(RoundTrip, KeepsTheTimesOfAPhoneWithALongFirstPicture)
{
    auto const source =
        make("phone.mp4", std::string(kPicture) +
                              "-vf \"settb=1/1000,setpts='if(eq(N,0),0,400+floor(N*100/3))'\" "
                              "-fps_mode passthrough -enc_time_base 1/1000 -t 2 -video_track_timescale 1000" +
                              kFast);
    auto const info = probe_film(source);
    ASSERT_TRUE(info) << info.error().what;
    EXPECT_TRUE(info->video->variable_rate);
    EXPECT_EQ(info->video->rate, (FrameRate{30, 1}));
    auto const made = path_for("phone_out.mp4");
    ASSERT_TRUE(rewrite(source, made));
    expect_same_times(source, made);
    auto const times = clips::picture_times(made);
    EXPECT_EQ(times[0], "0.000000");
    EXPECT_EQ(times[1], "0.433000");
    EXPECT_EQ(clips::probed(made, "v:0", "stream=duration"), clips::probed(source, "v:0", "stream=duration"));
}

TEST(RoundTrip, KeepsALateStartThatAnEmptyEditSays)
{
    auto const whole = clips::simple("early.mp4");
    auto const source =
        make("late.mp4", fmt::format("-itsoffset 0.75 -i '{0}' -i '{0}' -map 0:v -map 1:a -c copy", whole.string()));
    auto const made = path_for("late_out.mp4");
    ASSERT_TRUE(rewrite(source, made));
    expect_same_times(source, made);
    EXPECT_EQ(clips::picture_times(made)[0], "0.750000");
    EXPECT_EQ(clips::packets(made, "a:0"), clips::packets(source, "a:0"));
}

TEST(RoundTrip, KeepsALateStartOfTheSoundToTheSample)
{
    auto const whole = clips::simple("early_sound.mp4");
    auto const source = make("late_sound.mp4", fmt::format("-i '{0}' -itsoffset 0.333 -f lavfi -i sine=300:r=44100:d=1 "
                                                           "-map 0:v -map 1:a -c:v copy -c:a aac",
                                                           whole.string()));
    auto const made = path_for("late_sound_out.mp4");
    ASSERT_TRUE(rewrite(source, made));
    expect_same_times(source, made);
    EXPECT_EQ(clips::packets(made, "a:0"), clips::packets(source, "a:0"));
    EXPECT_GT(std::stod(clips::probed(made, "a:0", "stream=start_time")), 0.3);
}

TEST(RoundTrip, KeepsTheTimesOfAFilmWhoseEditListBeginsInsideAGroupOfPictures)
{
    auto const whole = clips::simple("whole.mp4", 4, 30, 60);
    auto const source = make("inside.mp4", "-ss 1.1 -i '" + whole.string() + "' -c copy");
    auto const made = path_for("inside_out.mp4");
    ASSERT_TRUE(rewrite(source, made));
    expect_same_times(source, made);
}

// Matroska counts whole milliseconds, so 1/30 s becomes 33 and 67: each time within half of one, none moved on purpose.
TEST(RoundTrip, KeepsTimesToTheMillisecondInMatroska)
{
    auto const source = clips::simple("to_mkv.mp4");
    auto const made = path_for("to_mkv.mkv");
    auto const report = rewrite(source, made);
    ASSERT_TRUE(report) << report.error().what;
    auto const wanted = clips::picture_times(source);
    auto const got = clips::picture_times(made);
    ASSERT_EQ(got.size(), wanted.size());
    for (std::size_t i = 0; i < got.size(); ++i)
        EXPECT_NEAR(std::stod(got[i]), std::stod(wanted[i]), 0.00051);
    auto sound = clips::packets(source, "a:0");
    sound.erase(sound.begin()); // the encoder's priming, heard by nobody
    auto const copied = clips::packets(made, "a:0");
    ASSERT_EQ(copied.size(), sound.size());
    for (std::size_t i = 0; i < copied.size(); ++i) {
        EXPECT_EQ(copied[i].hash, sound[i].hash);
        EXPECT_NEAR(std::stod(copied[i].pts), std::stod(sound[i].pts), 0.00051);
    }
}

// Matroska does not say when pictures are decoded; the first ones of such a film are decoded long before they are
// shown.
TEST(RoundTrip, CopiesTheTimesOfPicturesThatAreDecodedInAnotherOrder)
{
    auto const source =
        make("reordered.mkv", kPicture + std::string("-t 1") + kFast + "-bf 3 -x264-params open-gop=1:keyint=10");
    auto const film = probe_film(source);
    ASSERT_TRUE(film) << film.error().what;
    for (auto const& [file, container] :
         {std::pair{"reordered_copy.mkv", Container::mkv}, std::pair{"reordered_copy.mp4", Container::mp4}}) {
        SCOPED_TRACE(file);
        WriteOptions options;
        options.container = container;
        auto const copied = copy_film(path_for(file), *film, options);
        ASSERT_TRUE(copied) << copied.error().what;
        expect_same_times(source, path_for(file));
    }
}

TEST(RoundTrip, KeepsNtscTimesExactly)
{
    auto const source = make("ntsc.mp4", std::string("-f lavfi -i testsrc2=s=160x120:r=30000/1001 -t 2") + kFast);
    auto const made = path_for("ntsc_out.mp4");
    ASSERT_TRUE(rewrite(source, made));
    expect_same_times(source, made);
    auto const info = probe_film(made);
    ASSERT_TRUE(info);
    EXPECT_EQ(info->video->rate, (FrameRate{30000, 1001}));
    EXPECT_FALSE(info->video->variable_rate);
}

TEST(RoundTrip, KeepsTurnedAndMirroredFilmsTurnedAndMirrored)
{
    constexpr std::int32_t kOne = 1 << 16;
    std::array<std::int32_t, 9> const matrices[] = {
        {0, kOne, 0, -kOne, 0, 0, 120 * kOne, 0, 1 << 30},
        {-kOne, 0, 0, 0, -kOne, 0, 160 * kOne, 120 * kOne, 1 << 30},
        {0, -kOne, 0, kOne, 0, 0, 0, 160 * kOne, 1 << 30},
        {-kOne, 0, 0, 0, kOne, 0, 160 * kOne, 0, 1 << 30},
    };
    for (auto const& matrix : matrices) {
        auto const source = clips::simple("turned.mp4", 0.3);
        clips::set_matrix(source, matrix);
        auto const made = path_for("turned_out.mp4");
        auto const report = rewrite(source, made);
        ASSERT_TRUE(report) << report.error().what;
        auto const info = probe_film(made);
        ASSERT_TRUE(info);
        EXPECT_EQ(info->video->orientation, Orientation::from_matrix(matrix));
        bool const on_its_side = matrix[0] == 0;
        EXPECT_EQ(info->video->displayed, on_its_side ? (SizePx{120, 160}) : (SizePx{160, 120}));
        EXPECT_EQ(clips::probed(made, "v:0", "stream_side_data=displaymatrix"),
                  clips::probed(source, "v:0", "stream_side_data=displaymatrix"));
    }
}

TEST(RoundTrip, KeepsTheSampleAspectRatio)
{
    auto const source = make("wide.mp4", std::string(kPicture) + "-t 0.3 -vf setsar=16/11" + kFast);
    auto const made = path_for("wide_out.mp4");
    ASSERT_TRUE(rewrite(source, made));
    EXPECT_EQ(clips::probed(made, "v:0", "stream=sample_aspect_ratio"), "16:11");
    auto const info = probe_film(made);
    ASSERT_TRUE(info);
    EXPECT_EQ(info->video->displayed, (SizePx{233, 120})); // 160 * 16 / 11 = 232.7
}

struct ColourRow {
    char const* name;
    char const* form;
    char const* tags; ///< range, matrix, transfer, primaries
    ColourTags expected;
};

TEST(RoundTrip, KeepsColourTagsRangeDepthAndChromaForm)
{
    ColourRow const rows[] = {
        {"full range 601",
         "yuv420p",
         "pc bt470bg bt709 bt470bg",
         {Matrix::bt601, Range::full, Transfer::sdr, false, true}},
        {"709", "yuv422p", "tv bt709 bt709 bt709", {Matrix::bt709, Range::limited, Transfer::sdr, false, true}},
        {"HLG",
         "yuv420p10le",
         "tv bt2020nc arib-std-b67 bt2020",
         {Matrix::bt2020, Range::limited, Transfer::hlg, true, true}},
        {"PQ",
         "yuv444p10le",
         "tv bt2020nc smpte2084 bt2020",
         {Matrix::bt2020, Range::limited, Transfer::pq, true, true}},
    };
    for (auto const& row : rows) {
        SCOPED_TRACE(row.name);
        char range[8], matrix[16], transfer[16], primaries[16];
        std::sscanf(row.tags, "%7s %15s %15s %15s", range, matrix, transfer, primaries);
        auto const source =
            make("colour.mp4", std::string(kPicture) + "-t 0.3 -c:v libx264 -preset ultrafast -pix_fmt " + row.form +
                                   " -color_range " + range + " -colorspace " + matrix + " -color_trc " + transfer +
                                   " -color_primaries " + primaries);
        auto const made = path_for("colour_out.mp4");
        auto const report = rewrite(source, made);
        ASSERT_TRUE(report) << report.error().what;
        auto const info = probe_film(made);
        ASSERT_TRUE(info);
        EXPECT_EQ(info->video->colour, row.expected);
        constexpr char const* kTags = "stream=pix_fmt,color_range,color_space,color_transfer,color_primaries";
        EXPECT_EQ(clips::probed(made, "v:0", kTags), clips::probed(source, "v:0", kTags));
    }
}

TEST(RoundTrip, KeepsMasteringMetadataOfHdrFilms)
{
    auto const source =
        make("hdr.mp4",
             std::string(kPicture) +
                 "-t 0.3 -c:v libx265 -preset ultrafast -pix_fmt yuv420p10le -tag:v hvc1 -color_trc smpte2084 "
                 "-color_primaries bt2020 -colorspace bt2020nc -x265-params \"log-level=none:hdr10=1:master-display="
                 "G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50):max-cll=1000,400\"");
    WriteOptions options;
    options.encoder.codec = VideoCodec::hevc;
    options.encoder.preset = "ultrafast";
    auto const made = path_for("hdr_out.mp4");
    auto const report = rewrite(source, made, options);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(clips::probed(made, "v:0", "stream=codec_tag_string"), "hvc1");
    for (auto const& file : {source, made}) {
        auto const text = clips::run("ffprobe -v error -show_frames -read_intervals '%+#1' -select_streams v '" +
                                     file.string() + "'");
        EXPECT_NE(text.find("red_x=34000/50000"), std::string::npos) << file;
        EXPECT_NE(text.find("max_luminance=10000000/10000"), std::string::npos) << file;
        EXPECT_NE(text.find("max_content=1000"), std::string::npos) << file;
    }
    EXPECT_TRUE(probe_film(made)->video->hdr_metadata);
}

TEST(RoundTrip, KeepsTitleAndChaptersAndDropsThePlaceUnlessAsked)
{
    auto const chapters = path_for("chapters.txt");
    std::string const text = ";FFMETADATA1\ntitle=Lantern on the Quay\nlocation=+48.2000+016.3000/\n"
                             "[CHAPTER]\nTIMEBASE=1/1000\nSTART=0\nEND=900\ntitle=Welcome\n"
                             "[CHAPTER]\nTIMEBASE=1/1000\nSTART=900\nEND=2000\ntitle=The shapes\n";
    clips::write_bytes(chapters, {text.begin(), text.end()});
    auto const source =
        make("tags.mp4", std::string(kPicture) + "-i '" + chapters.string() + "' -map 0 -map_metadata 1 -t 2" + kFast);
    ASSERT_TRUE(probe_film(source)->has_location);
    auto const made = path_for("tags_out.mp4");
    ASSERT_TRUE(rewrite(source, made));
    auto const info = probe_film(made);
    ASSERT_TRUE(info);
    EXPECT_FALSE(info->has_location);
    EXPECT_EQ(clips::probed(made, "", "format_tags=title"), "Lantern on the Quay");
    EXPECT_EQ(clips::probed(made, "", "format_tags=location"), "");
    EXPECT_EQ(info->chapters, probe_film(source)->chapters);
    ASSERT_EQ(info->chapters.size(), 2U);
    EXPECT_EQ(info->chapters[1].title, "The shapes");
    EXPECT_EQ(info->chapters[1].from, from_seconds(0.9));

    WriteOptions keep;
    keep.location = Location::keep;
    ASSERT_TRUE(rewrite(source, made, keep));
    EXPECT_EQ(clips::probed(made, "", "format_tags=location"), "+48.2000+016.3000/");
}

struct PlaceTag {
    char const* key;
    char const* value;
    bool is_place;
};

// XMP (ISO 16684-1) and positions after ISO 6709 tell the place under any key.
TEST(RoundTrip, DropsThePlaceUnderWhateverKeyItStands)
{
    constexpr PlaceTag kTags[] = {
        {"XMP",
         "<x:xmpmeta><rdf:RDF><rdf:Description exif:GPSLatitude='48,12.5N' exif:GPSLongitude='16,22.4E'/></rdf:RDF>"
         "</x:xmpmeta>",
         true},
        {"DESCRIPTION_XML", "<x:xmpmeta><rdf:RDF><rdf:Description photoshop:City='Anywhere'/></rdf:RDF></x:xmpmeta>",
         true},
        {"XMP", "<x:xmpmeta><rdf:RDF><rdf:Description xmp:Rating='5'/></rdf:RDF></x:xmpmeta>", false},
        {"WHERE", "+48.2082+016.3738/", true},
        {"COMMENT", "-14 dB, take 3", false},
        {"DATE", "2024-05-01", false},
    };
    for (auto const& tag : kTags) {
        SCOPED_TRACE(fmt::format("{}={}", tag.key, tag.value));
        auto const source =
            make("placed.mkv", fmt::format("{} -t 0.2 -metadata {}=\"{}\" {}", kPicture, tag.key, tag.value, kFast));
        ASSERT_EQ(clips::probed(source, "", fmt::format("format_tags={}", tag.key)), tag.value);
        EXPECT_EQ(probe_film(source)->has_location, tag.is_place);
        WriteOptions keep;
        keep.location = Location::keep;
        for (auto const& options : {WriteOptions{}, keep}) {
            auto const made = path_for("placed_out.mkv");
            ASSERT_TRUE(rewrite(source, made, options));
            bool const kept = !tag.is_place || options.location == Location::keep;
            EXPECT_EQ(clips::probed(made, "", fmt::format("format_tags={}", tag.key)), kept ? tag.value : "");
        }
    }
}

TEST(RoundTrip, WritesEachCodecIntoTheContainersThatHoldIt)
{
    struct Row {
        VideoCodec codec;
        char const* file;
        char const* read_back;
        char const* sound;
    };
    Row const rows[] = {{VideoCodec::h264, "codec.mov", "h264", "aac"}, {VideoCodec::h264, "codec.mkv", "h264", "aac"},
                        {VideoCodec::hevc, "codec.mp4", "hevc", "aac"}, {VideoCodec::vp9, "codec.webm", "vp9", "opus"},
                        {VideoCodec::vp9, "codec.mp4", "vp9", "aac"},   {VideoCodec::av1, "codec.mp4", "av1", "aac"},
                        {VideoCodec::av1, "codec.webm", "av1", "opus"}};
    auto const source = clips::simple("codec_in.mp4", 0.5);
    for (auto const& row : rows) {
        SCOPED_TRACE(row.file);
        WriteOptions options;
        options.encoder.codec = row.codec;
        options.encoder.preset = row.codec == VideoCodec::vp9 || row.codec == VideoCodec::av1 ? "8" : "ultrafast";
        auto const made = path_for(row.file);
        auto const report = rewrite(source, made, options);
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_EQ(report->pictures, 15);
        EXPECT_EQ(clips::probed(made, "", "stream=codec_name"), fmt::format("{} {}", row.read_back, row.sound));
        EXPECT_EQ(clips::picture_times(made).size(), 15U);
        EXPECT_EQ(report->notes.empty(), std::string(row.sound) == "aac"); // a new encoding of the sound is said
        auto const back = rewrite(made, path_for("codec_back.mp4"));
        ASSERT_TRUE(back) << back.error().what;
        EXPECT_EQ(back->pictures, 15); // and our reader reads them all
    }
}

} // namespace
} // namespace tabard::pipeline
