/** The description of the API in OpenAPI 3.1, made from the schemas that it checks by. Pure. */
import { z } from "zod";
import { HireContent, reference } from "../bookings/content.js";
import { ClashAnswer, HireAnswer, ProblemAnswer, PushAnswer } from "./answers.js";

type Json = Record<string, unknown>;

/** The schemas by name, as JSON Schema 2020-12 with references to one another. */
function schemas(): Json {
  const registry = z.registry<{ id: string }>();
  for (const schema of [HireContent, ClashAnswer, PushAnswer, HireAnswer, ProblemAnswer])
    registry.add(schema as z.ZodType, { id: schema.meta()?.id ?? "" });
  const made = z.toJSONSchema(registry, {
    uri: (id) => `#/components/schemas/${id}`,
    io: "input",
  });
  return Object.fromEntries(
    Object.entries(made.schemas).map(([name, schema]) => {
      const { $schema: _s, $id: _i, id: _id, ...rest } = schema as Json;
      return [name, rest];
    }),
  );
}

const of = (name: string): Json => ({ $ref: `#/components/schemas/${name}` });
const json = (description: string, name: string, type = "application/json"): Json => ({
  description,
  content: { [type]: { schema: of(name) } },
});
const problem = (description: string): Json =>
  json(description, "Problem", "application/problem+json");

/** What any call may be answered. */
const always = {
  401: problem("The token is missing, unknown or revoked"),
  429: problem("Too many calls; Retry-After says when to try again"),
  503: problem("It could not be read or stored: try again later"),
};

/** The whole description. `url`: where the service is reached. */
export function describeApi(firm: string, url: string): Json {
  const { $schema: _schema, ...refSchema } = z.toJSONSchema(reference) as Json;
  return {
    openapi: "3.1.0",
    info: {
      title: `Hires of ${firm}`,
      version: "1",
      description:
        "A booking program pushes each hire under its own reference, as often as it likes: the first time makes it, the same content again does nothing, another content changes it. Only what the program itself changed since its last push is changed; what staff changed meanwhile stays.",
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [{ url: `${url}/api` }],
    security: [{ token: [] }],
    paths: {
      "/hires/{reference}": {
        parameters: [{ name: "reference", in: "path", required: true, schema: refSchema }],
        get: {
          operationId: "readHire",
          summary: "A hire as it holds now",
          responses: {
            200: json("The hire", "HireNow"),
            404: problem("No hire has this reference"),
            ...always,
          },
        },
        put: {
          operationId: "pushHire",
          summary: "Make or change a hire",
          requestBody: { required: true, content: { "application/json": { schema: of("Hire") } } },
          responses: {
            200: json("It was changed, or held already", "Pushed"),
            201: json("It was made", "Pushed"),
            400: problem("The body is no JSON, or the reference cannot be one"),
            413: problem("The body is too large"),
            415: problem("The body is not application/json"),
            422: problem("Fields are wrong; each is named with what would be right"),
            ...always,
          },
        },
        delete: {
          operationId: "cancelHire",
          summary: "Cancel a hire; again it does nothing",
          responses: {
            200: json(
              "It is cancelled; where its van is out it goes on, and staff are asked to ring the hirer",
              "Pushed",
            ),
            404: problem("No hire has this reference"),
            ...always,
          },
        },
      },
    },
    components: {
      securitySchemes: {
        token: { type: "http", scheme: "bearer", description: "Made at the desk, under Bookings" },
      },
      schemas: schemas(),
    },
  };
}
