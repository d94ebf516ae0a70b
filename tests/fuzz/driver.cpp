// Runs a fuzz entry without a fuzzing engine: over every seed file of some folders, then over a number of reproducible
// mutations of them, so that the entries stay compiled and a crash once found stays found.
//   fuzz_NAME FOLDER... [-runs=2000] [-seed=1] [-keep=FILE]
// The mutation that is run stands in FILE, for the one that ends the program.
#include "tests/support/run_program.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size);

namespace {

struct Options {
    int runs = 2000;
    unsigned seed = 1; // fixed: the suite must not flicker
    std::string keep;
    std::vector<std::string> folders;
};

Options options_of(int argc, char** argv)
{
    Options options;
    for (std::string const& word : std::vector<std::string>(argv + 1, argv + argc)) {
        if (word.starts_with("-runs="))
            options.runs = std::stoi(word.substr(6));
        else if (word.starts_with("-seed="))
            options.seed = static_cast<unsigned>(std::stoul(word.substr(6)));
        else if (word.starts_with("-keep="))
            options.keep = word.substr(6);
        else
            options.folders.push_back(word);
    }
    return options;
}

void run(std::string const& input, Options const& options)
{
    if (!options.keep.empty())
        tabard::tests::write_text(options.keep, input);
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
    Options const options = options_of(argc, argv);
    std::vector<std::filesystem::path> files;
    for (std::string const& folder : options.folders)
        if (std::filesystem::is_directory(folder))
            for (auto const& entry : std::filesystem::directory_iterator(folder))
                files.push_back(entry.path());
    std::sort(files.begin(), files.end()); // the order of a folder is the file system's own
    std::vector<std::string> seeds{""};
    for (auto const& file : files)
        seeds.push_back(tabard::tests::read_text(file));
    for (std::string const& seed : seeds)
        run(seed, options);
    std::mt19937 random(options.seed);
    for (int i = 0; i < options.runs; ++i)
        run(mutated(seeds[static_cast<std::size_t>(i) % seeds.size()], random), options);
    std::printf("%zu seeds, %d mutations\n", seeds.size() - 1, options.runs);
}
