using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>What will be done, in order: every name resolved, every path aligned, every buffer assigned. Made by <c>Planner</c>, run by <c>Renderer</c>.</summary>
/// <param name="SampleRateHz">Frames a second, of everything.</param>
/// <param name="LengthFrames">The end of the last stem: outputs are that long, and their tail longer.</param>
/// <param name="Steps">In the order of work. A step only takes from steps before it.</param>
/// <param name="BufferCount">Planes of samples that one worker needs.</param>
public sealed record RenderPlan(int SampleRateHz, long LengthFrames, IReadOnlyList<PlanStep> Steps, int BufferCount)
{
    /// <summary>The steps that write files.</summary>
    public IEnumerable<WriteStep> Writes => Steps.OfType<WriteStep>();

    /// <summary>The steps that measure.</summary>
    public IEnumerable<MeasureStep> Measurings => Steps.OfType<MeasureStep>();

    /// <summary>Frames to be worked through so that every output is whole.</summary>
    public long TotalFrames => Writes.Select(write => write.LengthFrames + write.LatencyFrames).DefaultIfEmpty(0).Max();
}

/// <summary>One piece of work.</summary>
/// <param name="Name">Unique in the plan. A node heard in two ways (its stem is muted, but it keys) has <c> (key)</c> after its name the second time.</param>
/// <param name="Inputs">The steps it takes from, as indices into <see cref="RenderPlan.Steps"/>.</param>
/// <param name="Channels">Of what it gives: 1 or 2; of what it writes, for the last kind.</param>
/// <param name="LatencyFrames">How far what it gives lies behind the stems, in all.</param>
/// <param name="FirstBuffer">Its first channel's plane; the others follow. -1 if it gives nothing, or gives it to the next step of its lane without a detour.</param>
public abstract record PlanStep(string Name, IReadOnlyList<int> Inputs, int Channels, int LatencyFrames, int FirstBuffer);

/// <summary>Reads a stem.</summary>
/// <param name="Stem">Its name.</param>
/// <param name="GainDb">Applied on the way: the reader was opened with it.</param>
/// <param name="StartFrame">Where the file's first frame lies in the song.</param>
/// <param name="IsSilenced">The stem is muted and would be heard here: silence is read in its stead.</param>
/// <param name="LatencyFrames">It is read so much later, since it meets what comes later.</param>
public sealed record ReadStep(string Name, string Stem, double GainDb, long StartFrame, bool IsSilenced, int Channels, int LatencyFrames, int FirstBuffer)
    : PlanStep(Name, [], Channels, LatencyFrames, FirstBuffer);

/// <summary>Runs a node.</summary>
/// <param name="Id">Its name in the graph.</param>
/// <param name="Type">Name of its type.</param>
/// <param name="Node">The node, not prepared.</param>
/// <param name="InputFormats">What comes in at each of <see cref="PlanStep.Inputs"/>.</param>
/// <param name="OwnLatencyFrames">What the node itself adds.</param>
/// <param name="IsBypassed">It lets its signal through, as late as it would have been.</param>
/// <param name="LaneGroup">Steps of one group stand together, lane by lane, and run as one; -1 for a step that runs alone.</param>
public sealed record NodeStep(
    string Name, string Id, string Type, INode Node, IReadOnlyList<int> Inputs, IReadOnlyList<InputFormat> InputFormats,
    int OwnLatencyFrames, bool IsBypassed, int LaneGroup, int Channels, int LatencyFrames, int FirstBuffer)
    : PlanStep(Name, Inputs, Channels, LatencyFrames, FirstBuffer)
{
    /// <summary>What it found is told by another step that does the same.</summary>
    public bool IsToldElsewhere { get; init; }

    /// <summary>What the node is to be prepared for.</summary>
    public NodeFormat FormatAt(int sampleRateHz, int maxBlockFrames) => new(sampleRateHz, InputFormats, Channels, maxBlockFrames);
}

/// <summary>Holds a signal back that is wanted earlier elsewhere, until a later one that it meets has caught up.</summary>
/// <param name="DelayFrames">By so much.</param>
public sealed record AlignStep(string Name, IReadOnlyList<int> Inputs, int DelayFrames, int Channels, int LatencyFrames, int FirstBuffer)
    : PlanStep(Name, Inputs, Channels, LatencyFrames, FirstBuffer);

/// <summary>Takes its second input from its first.</summary>
public sealed record DifferenceStep(string Name, IReadOnlyList<int> Inputs, int Channels, int LatencyFrames, int FirstBuffer)
    : PlanStep(Name, Inputs, Channels, LatencyFrames, FirstBuffer);

/// <summary>Writes an output. Its first <see cref="PlanStep.LatencyFrames"/> frames are left out, so that it starts with the song.</summary>
/// <param name="Output">Its name.</param>
/// <param name="Encoding">How samples are stored.</param>
/// <param name="LengthFrames">Frames of the whole output, its tail included.</param>
public sealed record WriteStep(
    string Name, string Output, SampleEncoding Encoding, long LengthFrames, IReadOnlyList<int> Inputs, int Channels, int LatencyFrames)
    : PlanStep(Name, Inputs, Channels, LatencyFrames, -1)
{
    /// <summary>Whose origin is carried on; null for none.</summary>
    public OriginNote? Origin { get; init; }

    /// <summary>With an origin: where the song's first frame lies, in frames since midnight.</summary>
    public long OriginFrames { get; init; }

    /// <summary>Markers, in order; null for none.</summary>
    public IReadOnlyList<Cue>? Cues { get; init; }
}

/// <summary>Measures a signal as an output would write it: from the song's start on.</summary>
/// <param name="Point">What is measured there.</param>
/// <param name="LengthFrames">Frames from the song's start to where the signal, or the output, ends.</param>
public sealed record MeasureStep(string Name, MeasuredPoint Point, long LengthFrames, IReadOnlyList<int> Inputs, int Channels, int LatencyFrames)
    : PlanStep(Name, Inputs, Channels, LatencyFrames, -1)
{
    /// <summary>The anchor that it is measured against; null for none. <see cref="MeterAnchor.HitFrames"/> are the song's.</summary>
    public MeterAnchor? Anchor { get; init; }

    /// <summary>As <see cref="MeterFormat.IsInMix"/>.</summary>
    public bool IsInMix { get; init; }
}

/// <summary>Compares the song with itself untreated.</summary>
/// <param name="Song">What is asked.</param>
/// <param name="Format">What is heard, but for the anchor's hits.</param>
/// <param name="LengthFrames">Frames from the song's start to its end.</param>
public sealed record CompareStep(string Name, ComparedSong Song, CompareFormat Format, long LengthFrames, IReadOnlyList<int> Inputs, int Channels, int LatencyFrames)
    : PlanStep(Name, Inputs, Channels, LatencyFrames, -1)
{
    /// <summary>The anchor's onsets in the song; null if nobody looked for them.</summary>
    public IReadOnlyList<long>? HitFrames { get; init; }
}
