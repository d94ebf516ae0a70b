#include "sample_media/make/film.h"

#include "sample_media/make/harbour.h"
#include "sample_media/make/player.h"

#include <cstdio>

#include <fmt/format.h>

namespace tabard::lantern {
namespace {

void draw(Pen& pen, Harbour const& harbour, Score const& score, int ms)
{
    harbour.draw(pen, ms);
    draw_player(pen, pose_at(score, ms));
}

/// A fixed number of threads and no version strings, so that the same ffmpeg makes the same bytes.
std::string encoder_command(Score const& score, std::filesystem::path const& wav, std::filesystem::path const& film)
{
    return fmt::format("ffmpeg -v error -y -f rawvideo -pix_fmt bgr0 -s {}x{} -r {} -i - -i '{}'"
                       " -vf scale=out_color_matrix=bt709:out_range=tv,format=yuv420p"
                       " -color_primaries bt709 -color_trc bt709 -colorspace bt709 -color_range tv"
                       " -c:v libx264 -preset slow -tune animation -crf 27 -g {} -threads 2 -c:a aac -b:a 96k"
                       " -fflags +bitexact -flags +bitexact -movflags +faststart"
                       " -metadata title='Lantern on the Quay' -metadata comment='score {:016x}' '{}'",
                       kWidth, kHeight, kFramesPerSecond, wav.string(), kFramesPerSecond * 2, digest(score),
                       film.string());
}

} // namespace

bool write_film(Score const& score, std::filesystem::path const& wav, std::filesystem::path const& film)
{
    std::FILE* const encoder = popen(encoder_command(score, wav, film).c_str(), "w");
    if (encoder == nullptr)
        return false;
    Harbour const harbour;
    Pen pen{kWidth, kHeight};
    bool written = true;
    int const frames = score.length * kFramesPerSecond / 1000;
    for (int frame = 0; frame < frames && written; ++frame) {
        draw(pen, harbour, score, frame * 1000 / kFramesPerSecond);
        written = std::fwrite(pen.pixels(), 1, pen.bytes(), encoder) == pen.bytes();
    }
    return pclose(encoder) == 0 && written;
}

bool write_still(Score const& score, int ms, std::filesystem::path const& png)
{
    Pen pen{kWidth, kHeight};
    draw(pen, Harbour{}, score, ms);
    return pen.write_png(png);
}

} // namespace tabard::lantern
