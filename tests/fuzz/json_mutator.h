#pragma once

#include <algorithm>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

namespace rigproof {

/// All nodes of a document, itself first.
inline void collect_nodes(nlohmann::ordered_json& j, std::vector<nlohmann::ordered_json*>& out) {
  out.push_back(&j);
  if (j.is_structured())
    for (auto& child : j) collect_nodes(child, out);
}

/// A document with one node replaced, emptied, doubled or left out: what few random bytes achieve.
inline std::string mutate_json(nlohmann::ordered_json j, std::mt19937& random) {
  std::vector<nlohmann::ordered_json*> nodes;
  collect_nodes(j, nodes);
  const auto any = [&] { return nodes[random() % nodes.size()]; };
  auto* node = any();
  const nlohmann::ordered_json values[]{nullptr,
                                        true,
                                        0,
                                        -1,
                                        1e308,
                                        0.1,
                                        18446744073709551615u,
                                        "",
                                        "\x01\u202e",
                                        nlohmann::ordered_json::array(),
                                        nlohmann::ordered_json::object(),
                                        *any()};
  switch (random() % 3) {
    case 0:
      *node = values[random() % std::size(values)];
      break;
    case 1:
      if (node->is_structured() && !node->empty())
        node->erase(std::next(node->begin(), random() % node->size()));
      break;
    default:
      if (node->is_array() && !node->empty()) node->push_back((*node)[random() % node->size()]);
  }
  return j.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace rigproof

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data,
                                               std::size_t size,
                                               std::size_t most,
                                               unsigned seed) {
  std::mt19937 random(seed);
  if (random() % 4 != 0) {
    const auto j = nlohmann::ordered_json::parse(data, data + size, nullptr, false);
    if (!j.is_discarded()) {
      const std::string text = rigproof::mutate_json(j, random);
      if (text.size() <= most) return std::copy(text.begin(), text.end(), data) - data;
    }
  }
  return LLVMFuzzerMutate(data, size, most);
}
