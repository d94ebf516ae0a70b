// The first shape that the search gives, against what players take first. The weights of the search were fitted to one
// half of the chords; the other half says what they are worth. A chord is of the fitted half where the FNV-1a hash
// (32 bits, of the name's bytes) is even.
#include "overlay/music/instrument.h"
#include "overlay/music/shapes/shape_search.h"
#include "tests/overlay/music/chords_db.h"
#include "tests/support/outside.h"

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using ShapesOfChords = std::map<std::string, std::set<std::string>>;

/// FNV-1a, 32 bits; its two numbers from memory. Any fixed hash would do.
bool is_fitted(std::string_view name)
{
    std::uint32_t hash = 2166136261U;
    for (char const c : name)
        hash = (hash ^ static_cast<unsigned char>(c)) * 16777619U;
    return hash % 2 == 0;
}

struct Share {
    int chords = 0;
    int first = 0;
    int first_five = 0;

    double percent() const { return 100.0 * first / chords; }
};

/// Of how many chords of a half the first shape, and one of the first five, is one of `wanted`.
Share share_of(ShapesOfChords const& wanted, Tuning const& tuning, bool fitted)
{
    Share share;
    std::string missed;
    for (auto const& [name, shapes] : wanted) {
        if (is_fitted(name) != fitted)
            continue;
        auto const found = find_shapes(*ChordName::parse(name), tuning, 5);
        auto const agrees = [&](FoundShape const& one) { return shapes.contains(one.shape.frets_text()); };
        bool const first = !found.empty() && agrees(found.front());
        ++share.chords;
        share.first += first ? 1 : 0;
        share.first_five += std::ranges::any_of(found, agrees) ? 1 : 0;
        if (!first)
            missed += fmt::format(" {} {}", name, found.empty() ? "none" : found.front().shape.frets_text());
    }
    fmt::print("{} half: first shape {} of {} ({:.1f} %), first five {}; other:{}\n", fitted ? "fitted" : "held-out",
               share.first, share.chords, share.percent(), share.first_five, missed);
    return share;
}

void expect_shares(std::string_view what, ShapesOfChords const& wanted, Tuning const& tuning, double fitted,
                   double held_out)
{
    fmt::print("{}, ", what);
    EXPECT_GE(share_of(wanted, tuning, true).percent(), fitted) << what;
    fmt::print("{}, ", what);
    EXPECT_GE(share_of(wanted, tuning, false).percent(), held_out) << what;
}

struct Usual {
    char const* name;
    char const* shapes; ///< any of them
};

// Written from memory: common practice, no published source.
constexpr Usual kGuitar[] = {
    {"C", "x32010"},
    {"D", "xx0232"},
    {"E", "022100"},
    {"F", "133211 xx3211"},
    {"G", "320003 320033"},
    {"A", "x02220"},
    {"B", "x24442"},
    {"Bb", "x13331"},
    {"Eb", "x68886 xx1343"},
    {"Ab", "466544"},
    {"C#", "x46664"},
    {"F#", "244322"},
    {"Am", "x02210"},
    {"Bm", "x24432"},
    {"Cm", "x35543"},
    {"C#m", "x46654"},
    {"Dm", "xx0231"},
    {"Em", "022000"},
    {"Fm", "133111"},
    {"F#m", "244222"},
    {"Gm", "355333"},
    {"G#m", "466444"},
    {"Bbm", "x13321"},
    {"Ebm", "x68876 xx1342"},
    {"C7", "x32310"},
    {"D7", "xx0212"},
    {"E7", "020100 022130"},
    {"F7", "131211"},
    {"G7", "320001"},
    {"A7", "x02020 x02223"},
    {"B7", "x21202"},
    {"Bb7", "x13131"},
    {"F#7", "242322"},
    {"C#7", "x46464 x4342x"},
    {"Eb7", "xx1323 x68686"},
    {"Ab7", "464544"},
    {"Am7", "x02010"},
    {"Bm7", "x20202 x24232"},
    {"Cm7", "x35343"},
    {"C#m7", "x46454"},
    {"Dm7", "xx0211"},
    {"Em7", "022030 020000"},
    {"Fm7", "131111"},
    {"F#m7", "242222"},
    {"Gm7", "353333"},
    {"G#m7", "464444"},
    {"Bbm7", "x13121"},
    {"Cmaj7", "x32000"},
    {"Dmaj7", "xx0222"},
    {"Emaj7", "021100"},
    {"Fmaj7", "xx3210 x33210"},
    {"Gmaj7", "320002"},
    {"Amaj7", "x02120"},
    {"Bmaj7", "x24342"},
    {"Bbmaj7", "x13231"},
    {"Ebmaj7", "xx1333 x68786"},
    {"Asus4", "x02230"},
    {"Dsus4", "xx0233"},
    {"Esus4", "022200"},
    {"Gsus4", "330013 3x0013"},
    {"Csus4", "x33011 x33010"},
    {"Fsus4", "133311"},
    {"Bsus4", "x24452"},
    {"Asus2", "x02200"},
    {"Dsus2", "xx0230"},
    {"Csus2", "x30033 x30013 x35533"},
    {"Gsus2", "300033 3x0033"},
    {"Fsus2", "xx3013 xx3011"},
    {"Bsus2", "x24422"},
    {"A7sus4", "x02030"},
    {"D7sus4", "xx0213"},
    {"E7sus4", "020200"},
    {"G7sus4", "330011 3x0011"},
    {"C7sus4", "x33311"},
    {"B7sus4", "x22200 x24252"},
    {"Bdim", "x2343x"},
    {"C#dim", "x4565x"},
    {"Adim", "x0121x"},
    {"Ddim", "xx0131"},
    {"F#dim", "2342xx"},
    {"Ddim7", "xx0101"},
    {"Adim7", "x01212"},
    {"Bdim7", "x20101 x2313x"},
    {"Caug", "x32110 x3211x"},
    {"Eaug", "032110"},
    {"Gaug", "321003"},
    {"Aaug", "x03221"},
    {"Daug", "xx0332"},
    {"C7#5", "x323x4 x32314 8x899x"},
    {"C6", "x32210"},
    {"D6", "xx0202"},
    {"E6", "022120"},
    {"G6", "320000"},
    {"A6", "x02222"},
    {"Am6", "x02212"},
    {"Dm6", "xx0201"},
    {"Em6", "022020"},
    {"C9", "x32333 x3233x"},
    {"D9", "x54555 x5455x"},
    {"G9", "320201 300201 3x0201"},
    {"E9", "020102"},
    {"A9", "x02423"},
    {"B9", "x21222"},
    {"A13", "x02022"},
    {"E13", "020120 020122"},
    {"G13", "320000 3x345x 323000"},
    {"C13", "x32355"},
    {"Cadd9", "x32030 x32033"},
    {"Gadd9", "300203 320203"},
    {"Eadd9", "024100"},
    {"Fadd9", "xx3213"},
    {"Amadd9", "x02410"},
    {"Emadd9", "024000"},
    {"E5", "022xxx"},
    {"A5", "x022xx"},
    {"D5", "xx023x"},
    {"G5", "355xxx"},
    {"C5", "x355xx"},
    {"F5", "133xxx"},
    {"B5", "x244xx"},
    {"F#5", "244xxx"},
    {"C/G", "332010"},
    {"D/F#", "2x0232 200232"},
    {"G/B", "x20003 x20033"},
    {"Am/G", "302210 3x2210"},
    {"C/E", "032010"},
    {"F/C", "x33211"},
    {"A/C#", "x42220"},
    {"E/G#", "422100 4x2100"},
    {"D/A", "x00232"},
    {"Bm7b5", "x20201 x2323x"},
    {"F#m7b5", "20221x 2x221x"},
    {"C6/9", "x32233 x32230"},
    {"Em9", "020002 024030"},
    {"Cmaj9", "x32430 x30000"},
    {"Dm9", "x53555"},
};

constexpr Usual kUkulele[] = {
    {"C", "0003"},        {"D", "2220"},        {"E", "4442 1402"},  {"F", "2010"},        {"G", "0232"},
    {"A", "2100"},        {"B", "4322"},        {"Bb", "3211"},      {"Eb", "0331"},       {"Ab", "5343"},
    {"Db", "1114"},       {"F#", "3121"},       {"Am", "2000"},      {"Bm", "4222"},       {"Cm", "0333"},
    {"Dm", "2210"},       {"Em", "0432"},       {"Fm", "1013"},      {"Gm", "0231"},       {"F#m", "2120"},
    {"C#m", "1104 1444"}, {"Bbm", "3111"},      {"Ebm", "3321"},     {"G#m", "4342 1342"}, {"A7", "0100"},
    {"B7", "2322"},       {"C7", "0001"},       {"D7", "2223 2020"}, {"E7", "1202"},       {"F7", "2313"},
    {"G7", "0212"},       {"Bb7", "1211"},      {"F#7", "3424"},     {"Eb7", "3334"},      {"Ab7", "1323"},
    {"C#7", "1112"},      {"Am7", "0000"},      {"Bm7", "2222"},     {"Cm7", "3333"},      {"Dm7", "2213"},
    {"Em7", "0202"},      {"Fm7", "1313"},      {"Gm7", "0211"},     {"F#m7", "2424"},     {"C#m7", "1102"},
    {"Cmaj7", "0002"},    {"Dmaj7", "2224"},    {"Fmaj7", "2413"},   {"Gmaj7", "0222"},    {"Amaj7", "1100"},
    {"Bbmaj7", "3210"},   {"Gsus4", "0233"},    {"Csus4", "0013"},   {"Dsus4", "0230"},    {"Asus4", "2200"},
    {"Fsus4", "3011"},    {"Dsus2", "2200"},    {"Gsus2", "0230"},   {"Csus2", "0233"},    {"Caug", "1003"},
    {"Cdim7", "2323"},    {"Adim7", "2323"},    {"C6", "0000"},      {"G6", "0202"},       {"F6", "2213"},
    {"D6", "2222"},       {"Am6", "2020 2423"}, {"Dm6", "2212"},     {"Edim7", "0101"},    {"G7sus4", "0213"},
    {"Cadd9", "0203"},    {"Fadd9", "0010"},    {"Gadd9", "0252"},
};

template <std::size_t N>
ShapesOfChords shapes_in(Usual const (&list)[N])
{
    ShapesOfChords all;
    for (auto const& [name, shapes] : list) {
        std::istringstream words(shapes);
        for (std::string shape; words >> shape;)
            all[name].insert(shape);
    }
    return all;
}

TEST(FirstShape, IsTheOneThatPlayersTakeFirst)
{
    expect_shares("usual guitar shapes", shapes_in(kGuitar), Tuning{}, 85, 85);
    expect_shares("usual ukulele shapes", shapes_in(kUkulele), Instrument::named("ukulele")->tuning, 90, 90);
}

/// A published shape without the strings below its root: the search begins on the root.
std::string from_root(Shape shape, ChordName const& chord)
{
    for (std::size_t i = 0; i < shape.frets.size(); ++i) {
        auto const note = Tuning{}.pitch(i, shape.frets[i]);
        if (note && mod(*note, 12) == chord.root.pitch_class())
            break;
        shape.frets[i] = kMuted;
    }
    return shape.frets_text();
}

// Suffixes on whose tones all books agree, as in chords_db_test.cpp.
std::set<std::string> const kSuffixes{"major", "minor", "sus2", "sus4", "m6",    "dim7",
                                      "m7b5",  "7",     "maj7", "m7",   "7sus4", "69"};

ShapesOfChords published(std::filesystem::path const& file, bool guitar)
{
    ShapesOfChords all;
    for (auto const& voicing : read_chords_db(file))
        if (kSuffixes.contains(voicing.suffix))
            all[voicing.chord()].insert(guitar ? from_root(voicing.shape, *ChordName::parse(voicing.chord()))
                                               : voicing.shape.frets_text());
    return all;
}

TEST(FirstShape, IsAPublishedVoicing)
{
    auto const guitar = tests::outside_file("node_modules/@tombatossals/chords-db/lib/guitar.json");
    auto const ukulele = tests::outside_file("node_modules/@tombatossals/chords-db/lib/ukulele.json");
    NEEDS_OUTSIDE(guitar);
    NEEDS_OUTSIDE(ukulele);
    expect_shares("chords-db guitar", published(guitar, true), Tuning{}, 70, 65);
    expect_shares("chords-db ukulele", published(ukulele, false), Instrument::named("ukulele")->tuning, 80, 85);
}

} // namespace
} // namespace tabard::overlay
