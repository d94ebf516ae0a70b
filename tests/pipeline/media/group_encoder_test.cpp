#include "pipeline/media/read/probe.h"
#include "pipeline/media/splice/group_encoder.h"
#include "pipeline/media/splice/group_reader.h"
#include "tests/pipeline/media/clips.h"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <malloc.h>

namespace tabard::pipeline {
namespace {

// glibc fills what it hands out and what is given back with bytes made from `fill`; 0 ends that.
void fill_new_memory_with([[maybe_unused]] int fill)
{
#ifdef M_PERTURB
    mallopt(M_PERTURB, fill);
#endif
}

// The film is a pure function of its inputs, or a cached group would not be the one that is coded anew. x264 with
// AVX-512 reads past the end of its rows at widths that are no multiple of 128, where this once gave three streams of
// three.
TEST(GroupEncoder, CodesTheSameBytesWhateverLayInMemoryBefore)
{
    for (char const* const size : {"96x80", "200x80", "128x96"}) {
        SCOPED_TRACE(size);
        auto film = CodedFilm::open(clips::make(
            fmt::format("moving_{}.mp4", size),
            fmt::format("-f lavfi -i testsrc2=s={}:r=30:d=1.3,noise=alls=2:allf=t -pix_fmt yuv420p -preset veryfast "
                        "-g 60",
                        size)));
        ASSERT_TRUE(film) << film.error().what;
        auto const inspected = inspect_for_splicing(*film, Container::mp4);
        ASSERT_TRUE(inspected && inspected->source);
        auto reader = GroupReader::open(*film, *inspected->source);
        ASSERT_TRUE(reader);
        auto const group = reader->next();
        ASSERT_TRUE(group && *group);
        for (char const* const preset : {"veryfast", "medium"}) {
            EncoderSettings settings;
            settings.preset = preset;
            settings.crf = 20;
            auto const encoder = GroupEncoder::create(*film, *inspected->source, settings);
            ASSERT_TRUE(encoder) << encoder.error().what;
            std::vector<CodedGroup> coded;
            for (int const fill : {0x01, 0x55, 0xaa}) {
                fill_new_memory_with(fill);
                auto made = encoder->encode(**group, [](DecodedPicture&) {});
                fill_new_memory_with(0);
                ASSERT_TRUE(made) << made.error().what;
                coded.push_back(*std::move(made));
            }
            EXPECT_TRUE(coded[0] == coded[1] && coded[0] == coded[2]) << preset;
        }
    }
}

} // namespace
} // namespace tabard::pipeline
