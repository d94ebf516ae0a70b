#include "tests/fuzz/mutated_lesson.h"

#include <array>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

using Json = nlohmann::ordered_json;

class Mutator {
public:
    Mutator(Json& root, std::mt19937& random) : m_root(root), m_random(random) {}

    void edit()
    {
        Json& chosen = any_node();
        switch (below(10)) {
        case 0:
            return drop_from(chosen);
        case 1:
            return double_in(chosen);
        case 2:
            return rename_in(chosen);
        case 3:
            chosen = other_kind();
            return;
        case 4:
            chosen = extreme();
            return;
        case 5:
            chosen = Json(any_node()); // retargets names, times and whole parts
            return;
        case 6:
            chosen = strange_text();
            return;
        case 7:
            return nest(chosen);
        case 8:
            return swap_with(chosen);
        default:
            return splice(chosen);
        }
    }

private:
    std::size_t below(std::size_t limit) { return std::uniform_int_distribution<std::size_t>(0, limit - 1)(m_random); }

    template <class T, std::size_t N>
    T const& one_of(std::array<T, N> const& choices)
    {
        return choices[below(N)];
    }

    static void collect(Json& node, std::vector<Json*>& nodes)
    {
        nodes.push_back(&node);
        if (node.is_structured())
            for (Json& child : node)
                collect(child, nodes);
    }
    Json& any_node()
    {
        std::vector<Json*> nodes;
        collect(m_root, nodes);
        return *nodes[nodes.size() > 1 ? 1 + below(nodes.size() - 1) : 0];
    }
    std::string any_key(Json const& object)
    {
        auto it = object.begin();
        std::advance(it, static_cast<std::ptrdiff_t>(below(object.size())));
        return it.key();
    }

    void drop_from(Json& node)
    {
        if (node.empty() || !node.is_structured())
            node = nullptr;
        else if (node.is_array())
            node.erase(below(node.size()));
        else
            node.erase(any_key(node));
    }
    void double_in(Json& node)
    {
        if (node.is_array() && !node.empty())
            node.insert(node.begin() + static_cast<std::ptrdiff_t>(below(node.size())), Json(node[below(node.size())]));
        else if (node.is_object() && !node.empty())
            node[any_key(node) + "2"] = Json(node[any_key(node)]);
        else
            node = Json::array({node, node});
    }
    void rename_in(Json& node)
    {
        constexpr std::array<std::string_view, 17> kKeys{"as",    "from",  "to",   "name",  "bars",    "show",
                                                         "pins",  "chord", "text", "strum", "tempo",   "meter",
                                                         "piece", "frets", "easy", "words", "count_in"};
        if (!node.is_object() || node.empty())
            return;
        std::string const key = any_key(node);
        Json const value = node[key];
        node.erase(key);
        node[std::string{one_of(kKeys)}] = value;
    }
    void swap_with(Json& node)
    {
        Json const copy = node;
        Json& other = any_node();
        Json const taken = other;
        other = copy; // `node` may be a part of what was just replaced: it is not touched again
        if (&other != &node && !taken.is_structured() && !copy.is_structured())
            node = taken;
    }
    Json other_kind()
    {
        return one_of(std::array<Json, 8>{Json(nullptr), Json(true), Json(""), Json::array(), Json::object(), Json(7),
                                          Json::array({Json::array()}), Json("0:10")});
    }
    Json extreme()
    {
        return one_of(std::array<Json, 20>{Json(0),
                                           Json(-1),
                                           Json(1),
                                           Json(12),
                                           Json(1e308),
                                           Json(-1e308),
                                           Json(5e-324),
                                           Json(0.1),
                                           Json(std::int64_t{9223372036854775807}),
                                           Json(std::numeric_limits<std::int64_t>::min()),
                                           Json(std::uint64_t{18446744073709551615U}),
                                           Json(2147483648),
                                           Json("99:59:59.999999999"),
                                           Json("0:00"),
                                           Json("-0:01"),
                                           Json("1000000:00:00"),
                                           Json("0:00:10:29"),
                                           Json("24:00"),
                                           Json("0:10 to 0:12"),
                                           Json("2.1 to 4.1")});
    }
    Json strange_text()
    {
        switch (below(6)) {
        case 0:
            return std::string(1 + below(3000), 'x');
        case 1:
            return std::string(100'001, 'y');
        case 2:
            return "2\n00:00:01,000 --> 00:00:02,000\n=1+1\n\nNOTE <b>&amp; \u2028\u202E";
        case 3:
            return "\x1B]0;x\x07 \u009B";
        case 4:
            return "C | % | % x4 | F / G / |: Am :| N.C. ";
        default: {
            std::string bars;
            for (std::size_t count = below(400); count > 0; --count)
                bars += "C G/B | ";
            return bars;
        }
        }
    }
    void nest(Json& node)
    {
        Json inner = node;
        for (std::size_t depth = 1 + below(40); depth > 0; --depth)
            inner = below(2) == 0 ? Json::array({inner}) : Json{{"a", inner}};
        node = inner;
    }
    void splice(Json& node)
    {
        constexpr std::array<std::string_view, 25> kPieces{"|", "/", "%", "C", "#", "b",      "x",   "-", ":",
                                                           ".", "0", "1", "9", " ", "\t",     "*",   "(", ")",
                                                           "R", "p", "3", "@", "~", "\u266D", " to "};
        if (!node.is_string())
            return;
        auto text = node.get<std::string>();
        std::size_t const at = below(text.size() + 1);
        if (below(3) == 0)
            text.erase(at, 1 + below(4));
        else
            text.insert(at, one_of(kPieces));
        node = text;
    }

    Json& m_root;
    std::mt19937& m_random;
};

} // namespace

std::string mutated_lesson(std::string const& text, std::mt19937& random)
{
    Json lesson = Json::parse(text);
    Mutator mutator(lesson, random);
    for (std::size_t edits = 1 + random() % 6; edits > 0; --edits)
        mutator.edit();
    std::string changed = lesson.dump(1, ' ', false, Json::error_handler_t::replace);
    // A key that stands twice: no tree holds that.
    if (auto const at = changed.find("\"from\""); random() % 16 == 0 && at != std::string::npos)
        changed.insert(at, "\"from\": \"0:01\", ");
    return changed;
}

} // namespace tabard::tests
