#include "pipeline/match/picture_prints.h"

#include "pipeline/media/read/media_reader.h"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace tabard::pipeline {

namespace {

PicturePrint print_of(DecodedPicture const& picture)
{
    PictureView const view = picture.view();
    PlaneView const& luma = view.planes[0];
    PicturePrint print{};
    for (std::size_t y = 0; y < kPrintHeight; ++y) {
        std::byte const* const row = luma.data + static_cast<std::ptrdiff_t>(y) * luma.stride;
        for (std::size_t x = 0; x < kPrintWidth; ++x) {
            if (view.layout.bit_depth == 8)
                print[y * kPrintWidth + x] = std::to_integer<std::uint8_t>(row[x]);
            else
                print[y * kPrintWidth + x] =
                    static_cast<std::uint8_t>(reinterpret_cast<std::uint16_t const*>(row)[x] >> 2);
        }
    }
    return print;
}

ReadOptions print_options(std::stop_token stop)
{
    ReadOptions options{.threads = 0, .scaled = SizePx{kPrintWidth, kPrintHeight}, .stop = std::move(stop)};
    options.thoroughness = Thoroughness::rough;
    return options;
}

} // namespace

float print_distance(PicturePrint const& a, PicturePrint const& b)
{
    int sum = 0;
    for (std::size_t n = 0; n < a.size(); ++n)
        sum += std::abs(a[n] - b[n]);
    return static_cast<float>(sum) / static_cast<float>(a.size());
}

Result<std::vector<PicturePrint>> picture_prints(std::filesystem::path const& film, FrameRate rate,
                                                 std::stop_token stop, std::function<void(double)> const& progress)
{
    TRY_ASSIGN(auto reader, MediaReader::open(film, print_options(stop)));
    auto const expected = std::max<std::int64_t>((reader.video().start + reader.video().duration).count(), 1);
    std::vector<PicturePrint> prints;
    for (;;) {
        TRY_ASSIGN(auto const picture, reader.next());
        if (!picture)
            break;
        // A picture fills the frames until the next one; what comes before the first looks like it.
        Time const half = from_frame(1, rate) / 2;
        auto const end = frame_at(picture->time() + picture->duration() + half, rate);
        auto const print = print_of(*picture);
        while (std::ssize(prints) < end)
            prints.push_back(print);
        if (progress)
            progress(std::min(static_cast<double>(picture->time().count()) / static_cast<double>(expected), 1.0));
    }
    return prints;
}

PrintReader::PrintReader(std::unique_ptr<MediaReader> reader) : m_reader(std::move(reader)) {}
PrintReader::PrintReader(PrintReader&&) noexcept = default;
PrintReader& PrintReader::operator=(PrintReader&&) noexcept = default;
PrintReader::~PrintReader() = default;

Result<PrintReader> PrintReader::open(std::filesystem::path const& film, std::stop_token stop)
{
    TRY_ASSIGN(auto reader, MediaReader::open(film, print_options(std::move(stop))));
    return PrintReader{std::make_unique<MediaReader>(std::move(reader))};
}

FrameRate PrintReader::rate() const { return m_reader->video().rate; }

Result<std::vector<TimedPrint>> PrintReader::read(Interval stretch)
{
    TRY_VOID(m_reader->seek(std::max(stretch.from, Time{0})));
    std::vector<TimedPrint> prints;
    for (;;) {
        TRY_ASSIGN(auto const picture, m_reader->next());
        if (!picture || picture->time() >= stretch.to)
            return prints;
        prints.push_back({{picture->time(), picture->time() + picture->duration()}, print_of(*picture)});
    }
}

} // namespace tabard::pipeline
