#pragma once
#include "overlay/sheet/page.h"

namespace tabard::overlay::sheet {

/// The blocks of the sheet in reading order.
std::vector<Block> header_blocks(Setting const& setting, SheetModel const& model);
std::vector<Block> shape_blocks(Setting const& setting, SheetModel const& model);
std::vector<Block> strum_blocks(Setting const& setting, SheetModel const& model);
std::vector<Block> part_blocks(Setting const& setting, SheetModel const& model);
std::vector<Block> closing_blocks(Setting const& setting, SheetModel const& model);

/// A heading over what follows it.
Block heading(Setting const& setting, std::string const& text);
/// Running text.
Block text_block(Setting const& setting, std::string const& text, double size, Colour colour);

} // namespace tabard::overlay::sheet
