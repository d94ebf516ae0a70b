#include "pipeline/retime/otio_media.h"

#include "overlay/base/small_letters.h"
#include "pipeline/retime/otio_object.h"
#include "pipeline/retime/otio_time.h"
#include "pipeline/retime/source_name.h"

#include <algorithm>
#include <chrono>

#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using Json = nlohmann::ordered_json;

/// The media by which a clip is known: of several references to one shot, one that is called like the footage.
Json const* named_media(Json const& clip, std::string const& footage)
{
    if (Json const* const all = member(clip, "media_references"); all != nullptr && all->is_object())
        for (Json const& media : *all)
            if (schema_of(media) != "GeneratorReference" && same_source_name(text_of(media, "target_url"), footage))
                return &media;
    return active_media(clip);
}

CutSource generated(Json const& clip, Json const& media)
{
    CutSource source;
    source.picture = CutSource::Picture::generated;
    source.clip = text_of(media, "name").empty() ? text_of(clip, "name") : text_of(media, "name");
    if (source.clip.empty())
        source.clip = "(generated picture)";
    return source;
}

/// What the list says of a whole file.
void describe(CutSource& source, Json const& media, CutOptions const& options)
{
    Json const* const available = member(media, "available_range");
    auto const range = available == nullptr ? Result<Interval>(Error{}) : otio_range(*available, "");
    if (!range)
        return;
    source.length = range->length();
    if (auto const label = telling_label(options))
        source.by_timecode = std::chrono::abs(range->from - *label) <= from_frame(1, *options.rate);
}

/// Kinds of generated picture without a clear place; all others are taken for titles.
bool is_solid(std::string const& kind)
{
    std::string const words = small_letters(kind);
    return std::ranges::any_of(std::initializer_list<char const*>{"bars", "black", "solid", "color", "colour"},
                               [&](char const* word) { return words.find(word) != std::string::npos; });
}

/// Formats of still pictures that may be transparent.
bool may_be_clear(std::string const& file)
{
    std::string const words = small_letters(file);
    return std::ranges::any_of(std::initializer_list<char const*>{".png", ".tif", ".tiff", ".tga", ".psd", ".exr",
                                                                  ".svg", ".gif", ".webp", ".ai", ".eps", ".pdf"},
                               [&](char const* ending) { return words.ends_with(ending); });
}

} // namespace

Json const* active_media(Json const& clip)
{
    if (Json const* const all = member(clip, "media_references"); all != nullptr && all->is_object()) {
        std::string const key = text_of(clip, "active_media_reference_key");
        return member(*all, key.empty() ? "DEFAULT_MEDIA" : key.c_str());
    }
    return member(clip, "media_reference");
}

OtioMedia otio_media(Json const& clip, CutOptions const& options)
{
    Json const* const media = named_media(clip, options.footage);
    std::string const schema = media == nullptr ? "" : schema_of(*media);
    if (schema == "GeneratorReference")
        return {generated(clip, *media), !is_solid(text_of(*media, "generator_kind"))};
    std::string name = text_of(clip, "name");
    std::string file;
    if (media != nullptr) {
        file = text_of(*media, "target_url");
        if (std::string const prefix = text_of(*media, "name_prefix"); file.empty() && !prefix.empty())
            file = text_of(*media, "target_url_base") + prefix + text_of(*media, "name_suffix");
        if (std::string const own = text_of(*media, "name"); !own.empty())
            name = own;
    }
    if (!file.empty())
        name.clear(); // the editor's word for a piece of it
    CutSource source = source_called("", name, file);
    if (media != nullptr)
        describe(source, *media, options);
    bool const is_clear = may_be_clear(source.file);
    return {std::move(source), is_clear};
}

} // namespace tabard::pipeline
