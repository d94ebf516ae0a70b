#include "pipeline/media/read/picture_times.h"

#include "pipeline/media/read/picture_stream.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

std::vector<Time> constant_times(VideoTrack const& video, std::size_t count)
{
    std::vector<Time> times;
    for (std::size_t i = 0; i < count; ++i)
        times.push_back(video.start + from_frame(static_cast<std::int64_t>(i), video.rate));
    return times;
}

} // namespace

Result<std::vector<Time>> read_picture_times(CodedFilm& film)
{
    av::PictureStream& pictures = film.pictures();
    TRY_VOID(pictures.rewind());
    pictures.look_at_other_tracks(true);
    AVRational const clock = pictures.stream().time_base;
    std::vector<Time> times;
    bool all_known = true;
    while (true) {
        TRY_ASSIGN(auto const next, pictures.next());
        if (!next)
            break;
        all_known = all_known && next->shown_known;
        if (next->whole)
            times.push_back(av::time_of(next->picture.shown, clock));
    }
    pictures.look_at_other_tracks(false);
    film.note_sound(pictures.take_sound());
    std::sort(times.begin(), times.end());
    bool const rising = std::adjacent_find(times.begin(), times.end()) == times.end();
    return all_known && rising ? times : constant_times(film.video(), times.size());
}

} // namespace tabard::pipeline
