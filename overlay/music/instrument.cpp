#include "overlay/music/instrument.h"

#include "overlay/base/nearest_word.h"

#include <algorithm>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::overlay {
namespace {

std::vector<Instrument> const& instruments()
{
    static Tuning const standard;
    static std::vector<Instrument> const all{
        {"guitar", standard, 648},
        {"short-scale guitar", standard, 580},
        {"12-string guitar", standard, 648},
        {"7-string guitar", {{35, 40, 45, 50, 55, 59, 64}}, 648},
        {"baritone guitar", {{35, 40, 45, 50, 54, 59}}, 686},
        {"bass", {{28, 33, 38, 43}}, 864},
        {"ukulele", {{67, 60, 64, 69}}, 380},
        {"mandolin", {{55, 62, 69, 76}}, 352},
        {"banjo", {{67, 50, 55, 59, 62}, {5, 0, 0, 0, 0}}, 670},
    };
    return all;
}

} // namespace

Result<Instrument> Instrument::named(std::string_view name)
{
    std::vector<std::string_view> names;
    for (auto const& instrument : instruments()) {
        if (instrument.name == name)
            return instrument;
        names.push_back(instrument.name);
    }
    auto const near = nearest_word(name, names);
    return Error{ErrorKind::invalid_input,
                 fmt::format("no instrument \"{}\" is known{}; known are {}", name,
                             near ? fmt::format("; did you mean \"{}\"?", *near) : "", fmt::join(names, ", "))};
}

Result<Instrument> Instrument::tuned(std::string_view text) const
{
    TRY_ASSIGN(auto parsed, Tuning::parse(text));
    if (parsed.strings() != tuning.strings())
        return Error{ErrorKind::invalid_input, fmt::format("a {} has {} strings, but the tuning \"{}\" names {}", name,
                                                           tuning.strings(), text, parsed.strings())};
    Instrument changed = *this;
    changed.tuning.open_strings = std::move(parsed.open_strings);
    return changed;
}

} // namespace tabard::overlay
