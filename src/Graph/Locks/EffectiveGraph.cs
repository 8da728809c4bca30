using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Locks;

/// <summary>
/// Everything of a graph that a byte of its outputs can hang on, as one value a path: of each node the version of its type and all its parameters, defaults and the anchor's frequency among them; of everything else what is
/// written. Order, comments, titles, measures and gates play no part. What is not known here is kept as it is written, so that nothing can be forgotten.
/// </summary>
public static class EffectiveGraph
{
    /// <summary>Between the steps of a path; no name holds it.</summary>
    public const char Separator = '/';

    /// <summary>The section of nodes.</summary>
    public const string Nodes = "nodes";

    /// <summary>What a node's version is called.</summary>
    public const string Version = "version";

    private const string Measure = "measure";

    // Read by people, or only judged after the render.
    private static readonly string[] WithoutEffect = ["$schema", "title", "expect", Nodes];

    /// <summary>The values of a graph, by their paths in ordinal order, each as canonical JSON.</summary>
    public static IReadOnlyDictionary<string, string> Of(GraphDocument document)
    {
        var values = new SortedDictionary<string, string>(StringComparer.Ordinal);
        foreach (var member in document.Root.Members.Where(member => !WithoutEffect.Contains(member.Name)))
            Add(values, member.Name, member.Value);
        foreach (var node in document.NodesAndSteps.Concat(document.Outputs.SelectMany(output => output.Treatments)))
            Add(values, node, document);

        // Where every stem may be converted, the first of the most usual rates is taken.
        if (document.SampleRateHz is null && document.Stems.Any(stem => stem.Resample == true))
            values.Add("stemsInOrder", $"[{string.Join(", ", document.Stems.Select(stem => CanonicalJson.Text(stem.Id)))}]");
        return values;
    }

    private static void Add(SortedDictionary<string, string> values, string path, JsonValue value)
    {
        if (value is not JsonObject { Members.Count: > 0 } body)
        {
            values[path] = CanonicalJson.Of(value);
            return;
        }

        foreach (var member in body.Members.Where(member => member.Name != Measure || !IsMeasurable(path)))
            Add(values, path + Separator + member.Name, member.Value);
    }

    /// <summary>Whether it is a stem or an output, so that <c>measure</c> asks for nothing but measures.</summary>
    private static bool IsMeasurable(string path) => path.Split(Separator) is ["stems" or "outputs", _];

    private static void Add(SortedDictionary<string, string> values, NodeEntry node, GraphDocument document)
    {
        var path = $"{Nodes}{Separator}{node.Id}{Separator}";
        values[path + "type"] = CanonicalJson.Text(node.Type.Name);
        values[path + Version] = CanonicalJson.Number(node.Type.Version);
        if (!node.Type.IsChain)
        {
            var parameters = new RecordedParameters(new DocumentParameters(node, document, sampleRateHz: null, new DiagnosticList()));
            node.Type.Create(parameters);
            foreach (var (name, value) in parameters.Values)
                values[path + name] = value;
        }

        // A key that was left out is the anchor.
        foreach (var (port, input) in node.Type.Ports.Zip(node.Inputs))
        {
            if (input is not null && node.Body.Find(port.Name) is null && node.Owner is null)
                values[path + port.Name] = CanonicalJson.Text(input.From);
        }

        foreach (var member in node.Body.Members.Where(member => member.Name is not ("type" or "steps" or Measure) && !values.ContainsKey(path + member.Name)))
            Add(values, path + member.Name, member.Value);
    }
}
