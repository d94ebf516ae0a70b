#pragma once
#include "overlay/base/result.h"
#include "overlay/sheet/sheet_model.h"

#include <compare>
#include <cstddef>
#include <string>
#include <vector>

namespace tabard::overlay {

enum class Paper { a4, letter };
enum class SheetFormat { pdf, svg, png };

/// How a sheet is set. Sizes of paper: ISO 216 (210 x 297 mm) and 8.5 x 11 inches.
struct SheetOptions {
    Paper paper = Paper::a4;
    bool large_print = false; ///< no letter below 18 points, instead of 9
    bool left_handed = false;
    std::string font = "Inter";
    /// Date of making that a PDF carries, ISO 8601 ("2026-05-01T12:00:00Z"): the caller's, so that the same input gives
    /// the same bytes.
    std::string made = "2000-01-01T00:00:00Z";
    friend auto operator<=>(SheetOptions const&, SheetOptions const&) = default;
};

using SheetFile = std::vector<std::byte>;

/// Draws the sheet. A PDF is one file of all pages; of SVG and PNG (150 dots an inch) there is a file a page.
/// Fails with invalid_input where the link is too long for a QR code (2953 bytes, ISO/IEC 18004 version 40-L), io where
/// Cairo cannot write.
Result<std::vector<SheetFile>> draw_sheet(SheetModel const& model, SheetOptions const& options, SheetFormat format);

/// The bars of one part alone as an SVG of their own size: as they stand on the sheet, without its name and words.
/// Fails with io where Cairo cannot write.
Result<SheetFile> draw_bars(SheetPart const& part, SheetOptions const& options);

/// How many pages that gives.
int count_pages(SheetModel const& model, SheetOptions const& options);

/// Texts of the model (title, names of parts, words) with letters that no installed font has.
std::vector<std::string> texts_without_glyphs(SheetModel const& model, SheetOptions const& options);

} // namespace tabard::overlay
