// The description of the interface against the routes and against real answers: neither may know more than the other.
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "server/app.h"
#include "server/texts.h"
#include "tests/server/real_base.h"

namespace server {
namespace {

using nlohmann::json;
using testing_server::Get;
using testing_server::kGel;
using testing_server::Post;

// As much of JSON Schema 2020-12 as the description uses; anything else in it is a failure.
class Validator {
 public:
  explicit Validator(const json& document) : document_(document) {}

  std::vector<std::string> Check(const json& value, const json& schema) {
    wrong_.clear();
    Walk(value, schema, "$");
    return wrong_;
  }

 private:
  static bool IsOf(const json& value, const std::string& type) {
    if (type == "object") return value.is_object();
    if (type == "array") return value.is_array();
    if (type == "string") return value.is_string();
    if (type == "boolean") return value.is_boolean();
    if (type == "null") return value.is_null();
    if (type == "integer") return value.is_number_integer();
    return type == "number" && value.is_number();
  }

  void Type(const json& value, const json& type, const std::string& at) {
    bool fits = false;
    for (const json& one : type.is_array() ? type : json::array({type})) fits = fits || IsOf(value, one);
    if (!fits) wrong_.push_back(at + " is no " + type.dump() + ": " + value.dump().substr(0, 60));
  }

  void OneOf(const json& value, const json& choices, const std::string& at) {
    std::vector<std::string> before = std::move(wrong_);
    std::size_t fitting = 0;
    std::string why;
    for (const json& choice : choices) {
      wrong_.clear();
      Walk(value, choice, at);
      if (wrong_.empty())
        ++fitting;
      else
        why += wrong_.front() + "; ";
    }
    wrong_ = std::move(before);
    if (fitting != 1) wrong_.push_back(at + " fits " + std::to_string(fitting) + " of the choices: " + why);
  }

  void Object(const json& value, const json& schema, const std::string& at) {
    for (const json& name : schema.value("required", json::array())) {
      if (!value.contains(name.get<std::string>()))
        wrong_.push_back(at + " lacks " + name.get<std::string>());
    }
    const json properties = schema.value("properties", json::object());
    for (const auto& [name, item] : value.items()) {
      if (properties.contains(name))
        Walk(item, properties.at(name), at + "." + name);
      else if (schema.contains("additionalProperties"))
        Walk(item, schema.at("additionalProperties"), at + "." + name);
    }
  }

  void Walk(const json& value, const json& schema, const std::string& at) {
    static const std::set<std::string> known = {
        "$ref",  "type",  "enum",    "required", "properties",
        "items", "oneOf", "minimum", "maximum",  "additionalProperties"};
    for (const auto& [word, unused] : schema.items()) {
      if (known.count(word) == 0) wrong_.push_back("the schema uses " + word);
    }
    if (schema.contains("$ref"))
      return Walk(value, document_.at(json::json_pointer(schema.at("$ref").get<std::string>().substr(1))),
                  at);
    if (schema.contains("oneOf")) return OneOf(value, schema.at("oneOf"), at);
    if (schema.contains("type")) Type(value, schema.at("type"), at);
    if (schema.contains("enum") &&
        std::find(schema.at("enum").begin(), schema.at("enum").end(), value) == schema.at("enum").end())
      wrong_.push_back(at + " is none of " + schema.at("enum").dump());
    if (schema.contains("minimum") && value.is_number() && value < schema.at("minimum"))
      wrong_.push_back(at + " is too small");
    if (schema.contains("maximum") && value.is_number() && value > schema.at("maximum"))
      wrong_.push_back(at + " is too large");
    if (value.is_object()) Object(value, schema, at);
    if (value.is_array() && schema.contains("items")) {
      for (const json& item : value) Walk(item, schema.at("items"), at + "[]");
    }
  }

  const json& document_;
  std::vector<std::string> wrong_;
};

class Description : public testing::Test {
 protected:
  void SetUp() override {
    shelf = std::make_unique<Shelf>(testing_server::Scratch(
        std::string("api-") + testing::UnitTest::GetInstance()->current_test_info()->name() + ".shelf"));
    holder = std::make_unique<BaseHolder>(testing_server::BaseRoot());
    app = std::make_unique<App>(*holder, shelf.get(), GuardSettings{8088, true, ""});
    document = json::parse(app->Respond(Get("/api/v1/openapi.json")).body);
  }
  json document;
  std::unique_ptr<Shelf> shelf;
  std::unique_ptr<BaseHolder> holder;
  std::unique_ptr<App> app;
};

TEST_F(Description, NamesEveryRouteAndNoOther) {
  std::set<std::string> routed;
  for (const Router::Known& route : app->router().All()) {
    std::string method = route.method;
    std::transform(method.begin(), method.end(), method.begin(),
                   [](char c) { return static_cast<char>(c | 0x20); });
    if (route.path.starts_with("/api/")) routed.insert(method + " " + route.path);
  }
  std::set<std::string> described;
  for (const auto& [path, methods] : document.at("paths").items()) {
    for (const auto& [method, operation] : methods.items()) described.insert(method + " " + path);
  }
  EXPECT_EQ(routed, described);
  EXPECT_EQ(document.at("openapi"), "3.1.0");
}

TEST_F(Description, EveryReferenceLeadsSomewhereAndEveryOperationHasItsOwnName) {
  std::set<std::string> names;
  for (const auto& [path, methods] : document.at("paths").items()) {
    for (const auto& [method, operation] : methods.items())
      EXPECT_TRUE(names.insert(operation.at("operationId").get<std::string>()).second) << path;
  }
  const json flat = document.flatten();
  for (const auto& [at, value] : flat.items()) {
    if (!at.ends_with("/$ref")) continue;
    EXPECT_TRUE(document.contains(json::json_pointer(value.get<std::string>().substr(1)))) << at << value;
  }
}

TEST_F(Description, RealAnswersHaveTheDescribedShape) {
  shelf->Save({Jar{0, "glycerin", 5, 3.5, "L1", "2026-01-01", "2026-12-31", 10.0, "x"}});
  const Question questions[] = {
      Get("/api/v1/health"),
      Get("/api/v1/find?q=emollient"),
      Get("/api/v1/find?q=ceytl+alcohol"),
      Get("/api/v1/find?function=humectant&limit=200"),
      Get("/api/v1/show?name=glycerin"),
      Get("/api/v1/show?name=phenoxyethanol"),
      Get("/api/v1/show?name=humectant"),
      Get("/api/v1/compare?name=cetyl+alcohol&name=cetearyl+alcohol"),
      Get("/api/v1/swap?name=cetyl+alcohol"),
      Get("/api/v1/place?name=ferulic+acid&kind=leave-on/water&level=0.5"),
      Get("/api/v1/place?described=form%3Dpowder&described=water_g_per_l%3D5"),
      Get("/api/v1/shelf"),
      Post("/api/v1/check", kGel),
      Post("/api/v1/check", testing_server::HandCream()),
      Post("/api/v1/label", testing_server::HandCream()),
      Post("/api/v1/swap?name=cetyl+alcohol", testing_server::HandCream()),
      Post("/api/v1/swap?name=cetyl+alcohol&name=glycerin", testing_server::HandCream()),
      Post("/api/v1/swap?name=shea+butter&rebalance=1", testing_server::HandCream()),
      Post("/api/v1/swap?name=cetyl+alcohol&name=glycerin&rebalance=true", testing_server::HandCream()),
      Post("/api/v1/swap?sheet=true", kGel),
      Post("/api/v1/weigh?batch=500g&scale=0.1g", testing_server::HandCream()),
      Post("/api/v1/weigh?batch=20g&scale=0.01g", kGel),
  };
  Validator validator(document);
  for (const Question& question : questions) {
    const Answer answer = app->Respond(question);
    ASSERT_EQ(answer.status, 200) << question.target << answer.body.substr(0, 300);
    const std::string method = question.method == "GET" ? "get" : "post";
    const json& schema = document.at("paths")
                             .at(question.path)
                             .at(method)
                             .at("responses")
                             .at("200")
                             .at("content")
                             .at("application/json")
                             .at("schema");
    for (const std::string& wrong : validator.Check(json::parse(answer.body), schema))
      ADD_FAILURE() << question.target << ": " << wrong;
  }
}

TEST_F(Description, ErrorsHaveTheDescribedShape) {
  Validator validator(document);
  const json schema = {{"$ref", "#/components/schemas/Error"}};
  for (const Question& question :
       {Get("/api/v1/show?name=unobtainium+dust"), Get("/api/v1/find?keep=tasty&q=a"), Get("/nowhere"),
        Post("/api/v1/check", "phase,ingredient,percent\nA,Watre,50\n")}) {
    const Answer answer = app->Respond(question);
    EXPECT_GE(answer.status, 400);
    for (const std::string& wrong : validator.Check(json::parse(answer.body), schema))
      ADD_FAILURE() << question.target << ": " << wrong;
  }
}

}  // namespace
}  // namespace server
