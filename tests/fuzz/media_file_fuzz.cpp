#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/read/probe.h"
#include "pipeline/media/read/sound_reader.h"
#include "pipeline/media/splice/splice_source.h"

#include <cstddef>
#include <cstdint>
#include <string>

#include <sys/mman.h>
#include <unistd.h>

namespace {

/// The bytes as a file that has a name but no place on a disk (Linux).
struct MemoryFile {
    int descriptor = memfd_create("fuzz", 0);
    MemoryFile(std::uint8_t const* data, std::size_t size)
    {
        if (descriptor < 0 || write(descriptor, data, size) != static_cast<ssize_t>(size))
            __builtin_trap();
    }
    ~MemoryFile() { close(descriptor); }
    MemoryFile(MemoryFile const&) = delete;
    MemoryFile& operator=(MemoryFile const&) = delete;
    std::string path() const { return "/proc/self/fd/" + std::to_string(descriptor); }
};

} // namespace

// The seeds are 0.3 s of libavfilter's testsrc2 and sine, 16 x 16, made for this purpose:
//   ffmpeg -f lavfi -i testsrc2=s=16x16:r=10 -f lavfi -i sine=440:r=8000 -t 0.3 -bitexact h264.mp4   (and so on)
// Any bytes are a film, a sound or an error; times of pictures rise, sound comes in blocks of a bounded size.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    MemoryFile const file{data, size};
    auto const info = probe(file.path());
    if (!info)
        return 0;
    if (auto reader = MediaReader::open(file.path(), {1, std::nullopt, {}})) {
        std::optional<Time> last;
        for (int n = 0; n < 8; ++n) {
            auto picture = reader->next();
            if (!picture || !*picture)
                break;
            if (last && (*picture)->time() <= *last)
                __builtin_trap();
            last = (*picture)->time();
            (void)(*picture)->writable();
        }
    }
    if (auto sound = SoundReader::open(file.path(), {8000, Channels::mono}))
        for (int n = 0; n < 64; ++n) {
            auto const block = sound->next();
            if (!block || block->empty())
                break;
            if (block->size() > 1'000'000)
                __builtin_trap();
        }
    if (auto film = CodedFilm::open(file.path()))
        (void)inspect_for_splicing(*film, Container::mp4);
    return 0;
}
