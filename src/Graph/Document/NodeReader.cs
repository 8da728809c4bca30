using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>Reads nodes and the steps of chains: type, inputs, bypass. Their parameters are read later, by the nodes themselves.</summary>
/// <param name="graph">For reports.</param>
/// <param name="leftOut">Takes the names of nodes and steps that could not be read.</param>
internal sealed class NodeReader(ObjectReader graph, NodeCatalog catalog, AnchorEntry? anchor, MeasureReader measures, HashSet<string> leftOut)
{
    /// <summary>The node, or null if it is no object or its type is not known.</summary>
    public NodeEntry? Read(JsonMember member) => Read(member.Name, member.At, member.Value, isStep: false);

    private NodeEntry? Read(string id, TextPosition at, JsonValue value, bool isStep)
    {
        var subject = $"{(isStep ? "step" : "node")} \"{Shown.Short(id)}\"";
        if (value is not JsonObject body)
        {
            graph.Report(
                DiagnosticCode.WrongType, value.At, $"{subject} is {Shown.Value(value)}, but it must be an object",
                isStep ? "Write { \"type\": ... }" : "Write { \"type\": ..., \"in\": ... }");
            leftOut.Add(id);
            return null;
        }

        var node = graph.Inner(body, subject, at);
        if (ReadType(node) is not { } type || (isStep && !CanBeStep(node, type, body)))
        {
            leftOut.Add(id);
            return null;
        }

        var isBypassed = node.Flag("bypass") ?? false;
        measures.Read(node, PointKind.Signal, id, otherwise: type.IsMeter);
        var inputs = new List<Connection?>();
        foreach (var port in type.Ports)
        {
            if (isStep && inputs.Count == 0)
                inputs.Add(NothingOfItsOwn(node, port));
            else
                ReadPort(node, port, inputs);
        }

        // What stands here besides is the node's own to say, but for a chain, which asks for nothing more.
        var steps = type.IsChain ? ReadSteps(id, node) : [];
        if (type.IsChain)
            node.ReportKeys();
        else
            node.ReportMissingKeys();
        return new(id, at, type, isBypassed, inputs, body, steps);
    }

    private NodeType? ReadType(ObjectReader node)
    {
        if (node.Text("type", "the name of a node type", "\"highPass\"", isRequired: true) is not { } written)
        {
            node.ReportMissingKeys();
            return null;
        }

        if (catalog.Find(written.Value) is { } type)
            return type;
        var known = catalog.Types.Select(candidate => candidate.Name).ToList();
        node.Report(
            DiagnosticCode.UnknownNodeType, written.At, $"{node.Subject} asks for type \"{Shown.Short(written.Value)}\", which no node has",
            NearestName.Of(written.Value, known) is { } near ? $"Did you mean \"{near}\"?" : $"The types are {Shown.Names(known)}");
        return null;
    }

    private static bool CanBeStep(ObjectReader step, NodeType type, JsonObject body)
    {
        if (!type.IsChain && !type.Ports[0].IsMany)
            return true;
        step.Report(
            DiagnosticCode.WrongInputs, body.Find("type")!.Value.At,
            type.IsChain
                ? $"{step.Subject} is a chain, but a chain cannot lie in a chain"
                : $"{step.Subject} is a {type.Name}, which takes many signals, but a step has only the one that the step before gives",
            type.IsChain ? "Write its steps here, one after the other" : "Make it a node of its own");
        return false;
    }

    private static Connection? NothingOfItsOwn(ObjectReader step, Port port)
    {
        if (step.Find(port.Name) is { } value)
        {
            step.Report(
                DiagnosticCode.UnknownKey, value.At, $"{step.Subject} names its own \"{port.Name}\", but a step takes what the step before gives",
                $"Remove \"{port.Name}\", or make it a node of its own");
        }

        return null;
    }

    private void ReadPort(ObjectReader node, Port port, List<Connection?> into)
    {
        switch (node.Find(port.Name))
        {
            case null when port.Kind == PortKind.Key:
                into.Add(AnchorAsKey(node, port));
                break;
            case null:
                node.ReportMissing(port.Name, $"\"{port.Name}\", the name of a stem, a node or a step{(port.IsMany ? ", or a list of them" : "")}");
                into.Add(null);
                break;
            case JsonArray { Items.Count: 0 } none when port.IsMany:
                node.Report(
                    DiagnosticCode.WrongInputs, none.At, $"{node.Subject} takes from nothing: \"{port.Name}\" is an empty list, but it needs at least one name",
                    "Write the names of the signals that it shall take");
                break;
            case JsonArray list when port.IsMany:
                into.AddRange(list.Items.Select(item => ReadConnection(node, port, item)));
                break;
            case JsonArray list:
                node.Report(
                    DiagnosticCode.WrongInputs, list.At,
                    string.Create(CultureInfo.InvariantCulture, $"{node.Subject} takes one signal, but \"{port.Name}\" is a list of {list.Items.Count}"),
                    list.Items.Count == 1 ? "Write the name without brackets" : "Sum them in a mix, and name the mix here");
                into.Add(null);
                break;
            case var one:
                into.Add(ReadConnection(node, port, one));
                break;
        }
    }

    private static Connection? ReadConnection(ObjectReader node, Port port, JsonValue value)
    {
        switch (value)
        {
            case JsonText text:
                return new(text.Value, 0, text.At);
            case JsonObject body:
                var input = node.Inner(body, $"an input of {node.Subject}", body.At);
                var from = input.Text("from", "the name of a stem, a node or a step", "\"kick\"", isRequired: true);
                var gain = input.Find("gainDb");
                if (gain is not null && !port.IsMany)
                {
                    input.Report(
                        DiagnosticCode.Contradiction, gain.At, $"{node.Subject} asks for gainDb at \"{port.Name}\", but only a list of inputs has gains",
                        "Remove it, and put a gain node in front, or set gainDb at the stem");
                }

                var gainDb = gain is null || !port.IsMany ? 0 : input.NumberOf("gainDb", gain, Connection.MinGainDb, Connection.MaxGainDb, "a number") ?? 0;
                input.ReportKeys();
                return from is { } name ? new(name.Value, gainDb, name.At) : null;
            default:
                node.ReportWrongType(port.Name, value, port.IsMany ? "a name, or a list of names" : "a name", "Write the name of a stem, a node or a step, in double quotes");
                return null;
        }
    }

    private Connection? AnchorAsKey(ObjectReader node, Port port)
    {
        if (anchor is null)
        {
            node.Report(
                DiagnosticCode.MissingAnchor, node.At, $"{node.Subject} has no {port.Name}, and the graph has no anchor to take its place",
                $"Add \"{port.Name}\", the name of the signal that steers it, or add an anchor to the graph");
            return null;
        }

        return anchor.Stem.Value.Length == 0 ? null : new(anchor.Stem.Value, 0, anchor.Stem.At);
    }

    private List<NodeEntry> ReadSteps(string id, ObjectReader chain)
    {
        switch (chain.Find("steps"))
        {
            case JsonArray { Items.Count: > 0 } list:
                return [.. list.Items.Select((item, index) => Read(string.Create(CultureInfo.InvariantCulture, $"{id}.{index + 1}"), item.At, item, isStep: true)).OfType<NodeEntry>()];
            case JsonArray none:
                chain.Report(
                    DiagnosticCode.MissingKey, none.At, $"{chain.Subject} has no steps, but a chain needs at least one",
                    "Write { \"type\": ... } between the brackets, or take what the chain takes");
                return [];
            case null:
                chain.ReportMissing("steps", "\"steps\", a list of { \"type\": ... }");
                return [];
            case var other:
                chain.ReportWrongType("steps", other, "a list", "Write [ { \"type\": ... } ]");
                return [];
        }
    }
}
