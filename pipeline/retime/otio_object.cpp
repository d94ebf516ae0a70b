#include "pipeline/retime/otio_object.h"

#include <nlohmann/json.hpp>

namespace tabard::pipeline {

using Json = nlohmann::ordered_json;

std::string schema_of(Json const& object)
{
    if (!object.is_object() || !object.contains("OTIO_SCHEMA") || !object["OTIO_SCHEMA"].is_string())
        return {};
    std::string const schema = object["OTIO_SCHEMA"];
    std::string const name = schema.substr(0, schema.find('.'));
    if (name == "Sequence")
        return "Track"; // its name in the first releases
    return name == "Filler" ? "Gap" : name;
}

std::string text_of(Json const& object, char const* key)
{
    return object.is_object() && object.contains(key) && object[key].is_string() ? object[key].get<std::string>()
                                                                                 : std::string{};
}

Json const* member(Json const& object, char const* key)
{
    auto const found = object.find(key);
    return found == object.end() || found->is_null() ? nullptr : &*found;
}

} // namespace tabard::pipeline
