#include "pipeline/render/whole_sound.h"

#include "pipeline/media/digest.h"
#include "pipeline/media/splice/group_encoder.h"

#include <array>

namespace tabard::pipeline {
namespace {

// Another version of the library may decode more, or less.
std::string key_of(std::string const& sound)
{
    return Digest().add("whole sound").add(encoder_identity()).add(sound).hex();
}

} // namespace

SoundDigests known_whole_sound(CodedFilm const& film, GroupCache const& cache)
{
    SoundDigests known = film.sound();
    std::erase_if(known, [&](auto const& track) { return !cache.find(key_of(track.second)); });
    return known;
}

void keep_whole_sound(SoundDigests const& whole, GroupCache& cache)
{
    constexpr std::array kWhole = {std::byte{1}};
    for (auto const& [stream, sound] : whole)
        cache.store(key_of(sound), kWhole);
}

} // namespace tabard::pipeline
