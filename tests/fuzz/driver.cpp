// Runs a fuzz entry without a fuzzing engine: over every seed file of a folder, then over a fixed number of
// reproducible mutations of them, so that the entries stay compiled and a crash once found stays found.
#include "tests/support/run_program.h"

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size);

namespace {

constexpr int kMutations = 2000;

void run(std::string const& input)
{
    LLVMFuzzerTestOneInput(reinterpret_cast<std::uint8_t const*>(input.data()), input.size());
}

std::string mutated(std::string text, std::mt19937& random)
{
    auto const below = [&](std::size_t limit) { return std::uniform_int_distribution<std::size_t>(0, limit)(random); };
    for (std::size_t edits = 1 + below(4); edits > 0; --edits) {
        std::size_t const at = below(text.size());
        switch (below(3)) {
        case 0:
            text.insert(at, 1, static_cast<char>(below(255)));
            break;
        case 1:
            text.erase(at, below(4));
            break;
        case 2:
            text.insert(at, text.substr(below(text.size()), below(12)));
            break;
        default:
            if (at < text.size())
                text[at] = static_cast<char>(text[at] ^ (1 << below(7)));
        }
    }
    return text;
}

} // namespace

int main(int argc, char** argv)
{
    std::vector<std::string> seeds{""};
    for (int i = 1; i < argc; ++i) {
        if (std::filesystem::is_directory(argv[i])) {
            for (auto const& entry : std::filesystem::directory_iterator(argv[i]))
                seeds.push_back(tabard::tests::read_text(entry.path()));
        }
    }
    for (std::string const& seed : seeds)
        run(seed);
    std::mt19937 random(1); // fixed: the suite must not flicker
    for (int i = 0; i < kMutations; ++i)
        run(mutated(seeds[static_cast<std::size_t>(i) % seeds.size()], random));
    std::printf("%zu seeds, %d mutations\n", seeds.size() - 1, kMutations);
}
