#include "tests/bench/listen/aubio_beats.h"

#include "tests/support/performance/note_bank.h"

#include <algorithm>

#ifdef TABARD_WITH_AUBIO
extern "C" {
#include <aubio/aubio.h>
}
#endif

namespace tabard::tests {

std::vector<double> aubio_beats([[maybe_unused]] std::vector<float> const& sound)
{
    std::vector<double> beats;
#ifdef TABARD_WITH_AUBIO
    constexpr uint_t kHop = 256;
    auto* tempo = new_aubio_tempo("default", 1024, kHop, kSampleRate);
    auto* input = new_fvec(kHop);
    auto* output = new_fvec(2);
    for (std::size_t at = 0; at + kHop <= sound.size(); at += kHop) {
        std::copy_n(sound.begin() + static_cast<std::ptrdiff_t>(at), kHop, input->data);
        aubio_tempo_do(tempo, input, output);
        if (output->data[0] != 0.0F)
            beats.push_back(static_cast<double>(aubio_tempo_get_last_s(tempo)));
    }
    del_fvec(output);
    del_fvec(input);
    del_aubio_tempo(tempo);
#endif
    return beats;
}

} // namespace tabard::tests
