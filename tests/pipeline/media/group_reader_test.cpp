// Groups of a film that is opened once: read as often as they are needed, in order or not, they are the same.
#include "pipeline/media/splice/group_reader.h"
#include "tests/pipeline/media/clips.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

std::vector<CodedGroup> all_groups(CodedFilm& film, SpliceSource const& source)
{
    std::vector<CodedGroup> groups;
    auto reader = GroupReader::open(film, source);
    EXPECT_TRUE(reader) << reader.error().what;
    while (reader) {
        auto group = reader->next();
        EXPECT_TRUE(group) << group.error().what;
        if (!group || !*group)
            break;
        groups.push_back(**std::move(group));
    }
    return groups;
}

struct Form {
    char const* file;
    char const* words;
};
// Three groups of a second, in containers that find their way back by an index, by fragments, by cues, and by none.
constexpr Form kForms[] = {
    {"groups.mp4", ""},
    {"groups_in_fragments.mp4", "-movflags frag_keyframe+empty_moov"},
    {"groups.mov", "-bf 3"},
    {"groups.mkv", ""},
    {"groups_without_cues.mkv", "-live 1"},
};

TEST(GroupReader, GivesTheSameGroupsEachTimeTheFilmIsReadAgainFromItsBeginning)
{
    for (Form const& form : kForms) {
        SCOPED_TRACE(form.file);
        auto film = CodedFilm::open(clips::make(
            form.file, std::string("-f lavfi -i testsrc2=s=96x64:r=25:d=3 -pix_fmt yuv420p -g 25 ") + form.words));
        ASSERT_TRUE(film) << film.error().what;
        auto const inspected = inspect_for_splicing(*film, Container::mp4);
        ASSERT_TRUE(inspected && inspected->source) << inspected->why_not;
        auto const groups = all_groups(*film, *inspected->source);
        ASSERT_EQ(groups.size(), 3u);
        EXPECT_EQ(groups[0].pictures.size(), 25u);
        EXPECT_TRUE(groups == all_groups(*film, *inspected->source));
        auto const again = inspect_for_splicing(*film, Container::mp4);
        ASSERT_TRUE(again && again->source);
        EXPECT_EQ(again->source->shown, inspected->source->shown);

        auto anew = CodedFilm::open(film->info().path);
        ASSERT_TRUE(anew);
        ASSERT_TRUE(inspect_for_splicing(*anew, Container::mp4));
        auto reader = GroupReader::open(*anew, *inspected->source);
        ASSERT_TRUE(reader);
        ASSERT_TRUE(reader->skip_to(1));
        EXPECT_TRUE(**reader->next() == groups[1]);
        ASSERT_TRUE(reader->skip_to(2));
        EXPECT_TRUE(**reader->next() == groups[2]);
        EXPECT_FALSE(*reader->next());
    }
}

} // namespace
} // namespace tabard::pipeline
