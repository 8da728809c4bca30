using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Cli.Commands;

/// <summary><c>nodes</c>: what a graph may be built from. Everything told is asked of the nodes themselves.</summary>
internal static class NodesCommand
{
    public static Command Create(CommandSetting setting)
    {
        var name = new Argument<string?>("NAME") { Description = "One node, to see its parameters.", Arity = ArgumentArity.ZeroOrOne };
        var json = Options.Json();
        var command = new Command("nodes", "Tell what each node does, and its parameters with units, ranges and defaults.") { name, json };
        command.SetAction(parsed => Run(setting, parsed.GetValue(name), parsed.GetValue(json)));
        return command;
    }

    private static int Run(CommandSetting setting, string? name, bool asJson)
    {
        var (terminal, catalog) = (setting.Terminal, setting.Catalog);
        var types = name is null ? catalog.Types : catalog.Find(name) is { } found ? [found] : [];
        if (types.Count == 0)
        {
            var near = NearestName.Of(name!, catalog.Types.Select(type => type.Name));
            terminal.Error.WriteLine($"rendergraph nodes: there is no node \"{name}\". {(near is null ? "See rendergraph nodes." : $"Did you mean {near}?")}");
            return ExitCode.GraphWrong;
        }

        if (asJson)
            WriteJson(terminal, types);
        else if (name is null)
            WriteList(terminal, types);
        else
            WritePage(terminal, types.First());
        return ExitCode.Done;
    }

    private static void WriteList(Terminal terminal, IReadOnlyCollection<NodeType> types)
    {
        var table = new TextTable("node", "takes", "what it does");
        foreach (var type in types)
            table.Add(type.Name, string.Join(", ", type.Ports.Select(PortText)), FirstSentence(type.About));
        table.WriteTo(terminal.Out, terminal.WidthColumns, indent: 0);
        terminal.Out.WriteLine();
        terminal.Out.WriteWrapped("Any node also takes \"bypass\": true and \"measure\": true. All about one of them: rendergraph nodes NAME", terminal.WidthColumns);
    }

    private static void WritePage(Terminal terminal, NodeType type)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        writer.WriteLine(type.Name);
        writer.WriteWrapped(type.About, width, indent: 2);
        writer.WriteLine();

        var ports = new TextTable("takes", "");
        foreach (var port in type.Ports)
            ports.Add(PortText(port), PortMeaning(port));
        ports.WriteTo(writer, width);

        var parameters = Parameters(type);
        var indent = 4 + parameters.Select(parameter => parameter.Name.Length).DefaultIfEmpty(0).Max();
        foreach (var parameter in parameters)
        {
            writer.WriteLine();
            writer.WriteLine($"  {parameter.Name.PadRight(indent - 2)}{Facts(parameter)}");
            writer.WriteWrapped(parameter.About, width, indent);
        }

        writer.WriteLine();
        writer.WriteLine("  in a graph");
        writer.WriteWrapped(Example(type), width, indent: 4);
    }

    private static void WriteJson(Terminal terminal, IReadOnlyCollection<NodeType> types) =>
        StrictJson.WriteObject(terminal.Out, json => json.WriteObjects("nodes", types, type =>
        {
            json.WriteString("name", type.Name);
            json.WriteNumber("version", type.Version);
            json.WriteString("about", type.About);
            json.WriteObjects("ports", type.Ports, port =>
            {
                json.WriteString("name", port.Name);
                json.WriteString("kind", port.Kind == PortKind.Key ? "key" : "heard");
                json.WriteBoolean("many", port.IsMany);
            });
            json.WriteObjects("parameters", Parameters(type), parameter =>
            {
                json.WriteString("name", parameter.Name);
                json.WriteString("kind", parameter.Kind);
                json.WriteString("unit", UnitOf(parameter.Name));
                json.WriteFinite("min", parameter.Min);
                json.WriteFinite("max", parameter.Max);
                json.WriteStartArray("choices");
                foreach (var choice in parameter.Choices)
                    json.WriteStringValue(choice);
                json.WriteEndArray();
                json.WriteText("otherwise", parameter.Otherwise);
                json.WriteBoolean("required", parameter.IsRequired);
                json.WriteString("about", parameter.About);
            });
        }));

    private static IReadOnlyList<ParameterHelp> Parameters(NodeType type)
    {
        if (type.IsChain)
            return [new("steps", "list", "Nodes without \"in\", each taking what the one before gives.", null, null, [], null, IsRequired: true)];

        var help = new HelpParameters();
        type.Create(help);
        return help.Asked;
    }

    private static string PortText(Port port) => port.IsMany ? $"{port.Name} (list)" : port.Name;

    private static string PortMeaning(Port port) => port switch
    {
        { Kind: PortKind.Key } => "only steers, is never heard; left out, it is the anchor's stem",
        { IsMany: true } => "stems and nodes by name; { \"from\": NAME, \"gainDb\": G } sets a level",
        _ => "a stem or a node by name",
    };

    private static string FirstSentence(string about)
    {
        var stop = about.IndexOf(". ", StringComparison.Ordinal);
        return stop < 0 ? about : about[..(stop + 1)];
    }

    /// <summary><c>10 to 20000 Hz or "anchor", must be given</c>.</summary>
    private static string Facts(ParameterHelp parameter)
    {
        var unit = UnitOf(parameter.Name) is { Length: > 0 } known ? " " + known : "";
        var allowed = parameter switch
        {
            { Choices.Count: > 0 } => string.Join(", ", parameter.Choices) + unit,
            { Min: { } min, Max: { } max } => $"{ParameterName.Write(min)} to {ParameterName.Write(max)}{unit}{(TakesAnchor(parameter) ? " or \"anchor\"" : "")}",
            _ => parameter.Kind,
        };
        return allowed + (parameter.IsRequired ? "; must be given" : parameter.Otherwise is { } otherwise ? $"; {otherwise} if left out" : "; may be left out");
    }

    private static bool TakesAnchor(ParameterHelp parameter) => parameter.Kind.Contains("anchor", StringComparison.Ordinal);

    private static readonly (string Ending, string Unit)[] Units =
    [
        ("DbPerOctave", "dB/octave"), ("Dbfs", "dBFS"), ("Db", "dB"), ("Hz", "Hz"), ("Ms", "ms"), ("Frames", "frames"), ("Octaves", "octaves"), ("Beats", "beats"),
    ];

    /// <summary>A name's end is its unit; a number without one is a plain number.</summary>
    private static string UnitOf(string name) =>
        Units.FirstOrDefault(unit => name.EndsWith(unit.Ending, StringComparison.OrdinalIgnoreCase)).Unit ?? "";

    /// <summary>For a parameter that goes both ways: a number that is heard, yet harmless.</summary>
    private const double ExampleStep = 3;

    private static string Example(NodeType type)
    {
        var ports = type.Ports.Where(port => port.Kind == PortKind.Heard)
            .Select(port => port.IsMany ? $"\"{port.Name}\": [\"bass\", \"keys\"]" : $"\"{port.Name}\": \"bass\"");
        var parameters = Parameters(type);
        var told = parameters.Where(parameter => parameter.IsRequired || parameter.Otherwise is not null).ToList();
        var values = (told.Count > 0 ? told : parameters.Take(1)).Select(ExampleValue);
        return $"\"name\": {{ {string.Join(", ", ports.Prepend($"\"type\": \"{type.Name}\"").Concat(values))} }}";
    }

    private static string ExampleValue(ParameterHelp parameter)
    {
        var value = parameter switch
        {
            { Kind: "list" } => "[{ \"type\": \"highPass\", \"frequencyHz\": 35 }]",
            { Otherwise: { } otherwise } => double.TryParse(otherwise, System.Globalization.CultureInfo.InvariantCulture, out _) || otherwise is "true" or "false"
                ? otherwise : $"\"{otherwise}\"",
            _ when TakesAnchor(parameter) => "\"anchor\"",
            { Min: < -ExampleStep, Max: > 0 } => ParameterName.Write(-ExampleStep),
            { Min: { } min, Max: { } max } => ParameterName.Write(Math.Round((min + max) / 2)),
            _ => "0",
        };
        return $"\"{parameter.Name}\": {value}";
    }
}
