#include "pipeline/listen/hear_film.h"

#include "pipeline/sound/film_sound.h"

#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {

Result<Hearing> hear_film(std::filesystem::path const& film, std::stop_token stop,
                          std::function<void(double)> const& progress)
{
    Listener listener;
    std::size_t left = std::size_t{3600} * kLongestHeardHours * kListenRate;
    TRY_VOID(stream_film_sound(
        film, kListenRate, std::move(stop), progress, [&](std::span<float const> block) -> Result<void> {
            if (block.size() > left)
                return Error{ErrorKind::unsupported, fmt::format("{}: its sound lasts longer than {} hours; cut the "
                                                                 "film into parts and listen to each",
                                                                 film.string(), kLongestHeardHours)};
            left -= block.size();
            listener.add(block);
            return {};
        }));
    return listener.finish();
}

} // namespace tabard::pipeline
