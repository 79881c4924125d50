// Shows the description that this service gives of itself. Nothing is fetched from elsewhere.
SwaggerUIBundle({
  url: "openapi.json",
  dom_id: "#reference",
  deepLinking: true,
  validatorUrl: null,
  defaultModelsExpandDepth: 0,
});
