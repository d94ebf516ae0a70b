// Developer program: writes a sample sheet in every form to look at.
//   sheet_pages FOLDER
#include "overlay/sheet/sheet.h"
#include "tests/overlay/sheet/samples.h"

#include <cstdio>
#include <filesystem>
#include <fstream>

#include <fmt/format.h>

int main(int argc, char** argv)
{
    using namespace tabard::overlay;
    if (argc != 2) {
        std::fputs("usage: sheet_pages FOLDER\n", stderr);
        return 2;
    }
    std::filesystem::path const folder = argv[1];
    for (bool const large : {false, true})
        for (bool const left : {false, true})
            for (Paper const paper : {Paper::a4, Paper::letter})
                for (SheetFormat const format : {SheetFormat::pdf, SheetFormat::svg, SheetFormat::png}) {
                    SheetOptions options;
                    options.paper = paper;
                    options.large_print = large;
                    options.left_handed = left;
                    auto const files = draw_sheet(samples::lantern_sheet(), options, format);
                    for (std::size_t i = 0; files && i < files->size(); ++i) {
                        char const* const extensions[] = {"pdf", "svg", "png"};
                        auto const name =
                            fmt::format("{}{}{}-{}.{}", paper == Paper::a4 ? "a4" : "letter", large ? "-large" : "",
                                        left ? "-left" : "", i + 1, extensions[static_cast<int>(format)]);
                        std::ofstream(folder / name, std::ios::binary)
                            .write(reinterpret_cast<char const*>((*files)[i].data()),
                                   static_cast<std::streamsize>((*files)[i].size()));
                    }
                }
    return 0;
}
