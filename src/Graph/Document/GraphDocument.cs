using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Document;

/// <summary>A graph as written. Everything keeps its place in the text, so that a later rule can point at it.</summary>
/// <param name="File">The file as the user named it: what diagnostics begin with.</param>
/// <param name="Title">The song's name, or null.</param>
/// <param name="TempoBpm">Beats a minute, or null: for times that are told in beats.</param>
/// <param name="SampleRateHz">The rate of everything: stems of another are converted. Null: the one that the stems have.</param>
/// <param name="Stems">In the order written.</param>
/// <param name="Anchor">The element that owns the low end, or null.</param>
/// <param name="Nodes">In the order written.</param>
/// <param name="Outputs">In the order written.</param>
public sealed record GraphDocument(
    string File,
    string? Title,
    double? TempoBpm,
    Located<int>? SampleRateHz,
    IReadOnlyList<StemEntry> Stems,
    AnchorEntry? Anchor,
    IReadOnlyList<NodeEntry> Nodes,
    IReadOnlyList<OutputEntry> Outputs)
{
    /// <summary>Every node, each chain followed by its steps.</summary>
    public IEnumerable<NodeEntry> NodesAndSteps => Nodes.SelectMany(node => node.Steps.Prepend(node));

    /// <summary>Names of stems, nodes and steps that stand in the text, but whose fault (already told) kept them out of here.</summary>
    public IReadOnlySet<string> LeftOut { get; init; } = new HashSet<string>();

    /// <summary>Whether every name is here or in <see cref="LeftOut"/>: false if a whole section could not be read.</summary>
    public bool HasAllNames { get; init; } = true;

    /// <summary>Whether an output is written whose fault (already told) kept it out of here.</summary>
    public bool HasFaultyOutputs { get; init; }

    /// <summary>What the stems' places count from, unless a stem says otherwise.</summary>
    public AlignBy AlignBy { get; init; }

    /// <summary>What must hold of what is measured, in the order written.</summary>
    public IReadOnlyList<Expectation> Expectations { get; init; } = [];

    /// <summary>Where something is measured, in the order written: stems, then nodes and steps, then outputs, then what gates need besides.</summary>
    public IReadOnlyList<MeasuredPoint> Measured { get; init; } = [];

    /// <summary>Whether something is measured against the anchor, so that it must be known when it hits and where.</summary>
    public bool MeasuresAgainstAnchor => Anchor is not null && (Compared is { MostSeconds: null } || Measured.Any(point => point.AtHits || point.Meters.Any(meter => meter.NeedsAnchor)));

    /// <summary>The song that is compared with itself untreated; null if it is not asked whether the treatment helped.</summary>
    public ComparedSong? Compared { get; init; }

    /// <summary>Of a graph that was bound from a recipe: which, and what was left out; else null.</summary>
    public GraphOrigin? Origin { get; init; }

    /// <summary>Of a recipe: patterns of files that are no stems.</summary>
    public IReadOnlyList<NamePattern> LeaveOut { get; init; } = [];

    /// <summary>Where the graph's object begins.</summary>
    public TextPosition At { get; init; } = new(1, 1);

    /// <summary>The whole text as a tree: what a lock holds a graph against.</summary>
    public JsonObject Root { get; init; } = new(default, []);

    /// <summary>Whether all that is written is here: only then is something without a use certain to have none.</summary>
    public bool IsWhole { get; init; } = true;
}

/// <summary>A value and where it stands.</summary>
public readonly record struct Located<T>(T Value, TextPosition At);

/// <summary>One exported part of the song.</summary>
/// <param name="Id">Its name in the graph.</param>
/// <param name="At">Where its name stands.</param>
/// <param name="File">Its file, as written: relative to the graph's folder.</param>
/// <param name="GainDb">Applied as it is read; 0 changes nothing.</param>
/// <param name="Muted">Silent wherever it would be heard; it still keys.</param>
/// <param name="StartMs">Where its first frame lies in the song; less than 0 cuts its beginning off.</param>
public sealed record StemEntry(string Id, TextPosition At, Located<string> File, double GainDb, bool Muted, double StartMs)
{
    /// <summary>One or two of the file's channels, counted from 1; null for all of them.</summary>
    public Located<IReadOnlyList<int>>? Channels { get; init; }

    /// <summary>If a recipe was bound in memory: what took its file, <c>by "*kick*"</c>; else null.</summary>
    public string? TakenBy { get; init; }

    /// <summary>Of a recipe: which files it takes. Null in a graph, where it is one file.</summary>
    public StemMatch? Match { get; init; }

    /// <summary>What its place counts from; null: what the graph says.</summary>
    public AlignBy? AlignBy { get; init; }

    /// <summary>Frames of the song that lining up adds before it; known once the stems are open.</summary>
    public long AlignedFrames { get; init; }

    /// <summary>Whether it is converted to the rate of the others; null: only if the graph names a rate.</summary>
    public bool? Resample { get; init; }

    /// <summary>Whether it is part of the untreated song, wherever it comes in; null: unless it is muted and steers something.</summary>
    public bool? IsUntreated { get; init; }
}

/// <summary>The element that owns the low end.</summary>
/// <param name="Stem">The stem's name; empty if it could not be read.</param>
/// <param name="ToldFrequencyHz">Its main frequency as written, or null if not told, to be measured, or not read.</param>
/// <param name="At">Where the anchor stands.</param>
/// <param name="IsFrequencyRefused">The frequency was told, but is at fault: nobody need be told again.</param>
public sealed record AnchorEntry(Located<string> Stem, double? ToldFrequencyHz, TextPosition At, bool IsFrequencyRefused = false)
{
    /// <summary>Where it says that the frequency is to be measured; null if it does not.</summary>
    public TextPosition? MeasureFrequencyAt { get; init; }

    /// <summary>Where it says that the hits are to be found; null if it does not.</summary>
    public TextPosition? MeasureHitsAt { get; init; }

    /// <summary>The file that its hits stand in, as written: relative to the graph's folder. Null if there is none.</summary>
    public Located<string>? HitsFile { get; init; }

    /// <summary>Of a recipe: a song that has no such stem goes without an anchor and without all that hangs upon it.</summary>
    public bool IsOptional { get; init; }

    /// <summary>What was measured, or is known from before; null until then.</summary>
    public AnchorMeasures? Measures { get; init; }

    /// <summary>Its main frequency, told or measured; null if neither, or not yet.</summary>
    public double? FrequencyHz => ToldFrequencyHz ?? Measures?.Frequency?.FrequencyHz;

    /// <summary>Whether its hits are known, or will be once it has been listened to.</summary>
    public bool HasHits => HitsFile is not null || MeasureHitsAt is not null || MeasureFrequencyAt is not null;
}

/// <summary>One node, or one step of a chain.</summary>
/// <param name="Id">Its name in the graph; of a step, the chain's name, a full stop and its number from 1.</param>
/// <param name="At">Where its name stands; of a step, where its object begins.</param>
/// <param name="Type">What it is.</param>
/// <param name="Bypass">Lets its signal through unchanged, as late as it would have been.</param>
/// <param name="Inputs">
/// One connection for each port in order, then further ones for a port that takes many. A step's first connection is null: it is the step before, or the chain's input.
/// A key left out is already the anchor's stem here, standing where the anchor names it. What could not be read is null, or missing at the end.
/// </param>
/// <param name="Body">The whole object, for its parameters.</param>
/// <param name="Steps">Of a chain, its steps in order; otherwise empty.</param>
public sealed record NodeEntry(
    string Id, TextPosition At, NodeType Type, bool Bypass, IReadOnlyList<Connection?> Inputs, JsonObject Body, IReadOnlyList<NodeEntry> Steps)
{
    /// <summary>Whether this is a step of a chain.</summary>
    public bool IsStep => Id.Contains('.', StringComparison.Ordinal);

    /// <summary>What messages call it.</summary>
    public string Subject => Owner ?? $"{(IsStep ? "step" : "node")} \"{Id}\"";

    /// <summary>What messages call it if it is no node of the graph's own: <c>output "mix"</c>.</summary>
    public string? Owner { get; init; }

    /// <summary>Makes the node of a validated document.</summary>
    /// <exception cref="InvalidOperationException">It is a chain, or the document has faults.</exception>
    public INode CreateNode(GraphDocument document, int sampleRateHz)
    {
        var faults = new DiagnosticList();
        var parameters = new DocumentParameters(this, document, sampleRateHz, faults);
        var node = Type.Create(parameters);
        parameters.ReportKeys();
        return faults.HasErrors ? throw new InvalidOperationException(faults.InOrder[0].ToString()) : node;
    }
}

/// <summary>Takes a signal from somewhere.</summary>
/// <param name="From">A stem, a node or a step, by name.</param>
/// <param name="GainDb">On the way; other than 0 only into a port that takes many.</param>
/// <param name="At">Where the name stands.</param>
public sealed record Connection(string From, double GainDb, TextPosition At)
{
    /// <summary>No gain on the way, or of a stem, may be less.</summary>
    public const double MinGainDb = -96;

    /// <summary>No gain on the way, or of a stem, may be more.</summary>
    public const double MaxGainDb = 36;
}

/// <summary>One file to be written.</summary>
/// <param name="Id">Its name in the graph; seeds its dither.</param>
/// <param name="At">Where its name stands.</param>
/// <param name="From">What goes into it.</param>
/// <param name="File">Its file as written, relative to the folder of the outputs; of several files, with a star in the place of what is each one's own.</param>
/// <param name="Encoding">How samples are stored.</param>
/// <param name="Channels">1 or 2, or null: as many as the signal has. Stereo into mono is (left + right) / 2; mono into stereo is the same on both.</param>
/// <param name="TailMs">How long it goes on after the last stem has ended.</param>
public sealed record OutputEntry(
    string Id, TextPosition At, Located<string> From, Located<string> File, SampleEncoding Encoding, int? Channels, double TailMs)
{
    /// <summary>What of its point is written.</summary>
    public OutputKind Kind { get; init; }

    /// <summary>What is done to it on the way, in the order of work. Their one connection is what goes into the output.</summary>
    public IReadOnlyList<NodeEntry> Treatments { get; init; } = [];

    /// <summary>The stem whose origin (the bext chunk of its file) is carried on, or null.</summary>
    public Located<string>? BextFrom { get; init; }

    /// <summary>Where it asks for markers at the anchor's hits; null if it does not.</summary>
    public TextPosition? CuesAtHitsAt { get; init; }

    /// <summary>The output whose gain is taken over, or null.</summary>
    public Located<string>? GainOf { get; init; }

    /// <summary>Whether that is what the output, or one of its several files, is called: <c>parts.kick</c>.</summary>
    public bool Owns(string file) =>
        file == Id || (Kind == OutputKind.Stems && file.Length > Id.Length + 1 && file[Id.Length] == '.' && !char.IsDigit(file[Id.Length + 1]) && file.StartsWith(Id, StringComparison.Ordinal));

    /// <summary>The treatment that sets its level, or null.</summary>
    public NodeEntry? Level => Treatments.FirstOrDefault(treatment => treatment.Type.Ports.Count > 1);
}
