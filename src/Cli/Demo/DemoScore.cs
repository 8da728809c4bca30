using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Cli.Demo;

/// <summary>The notes of the demo song, which is our own invention: eight bars in G minor at 96 beats a minute, 20 seconds.</summary>
internal static class DemoScore
{
    public const string Title = "Low Tide Ferry";
    public const int SampleRateHz = 48_000;
    public const int TempoBpm = 96;
    public const int BarCount = 8;

    /// <summary>Sixteen to a bar; a whole number of frames at this tempo and rate.</summary>
    public const int StepFrames = SampleRateHz * 60 / TempoBpm / 4;

    public const int BarSteps = 16;
    public const int LengthFrames = BarCount * BarSteps * StepFrames;

    /// <summary>Where the kick's sweep settles; the sub's G1 (49 Hz) beats against it three times a second.</summary>
    public const double KickHz = 52;

    // The first bar has no kick: there a keyed cut must leave everything as it was.
    private static readonly int[][] KickBars = [[], [0, 6, 10], [0, 8, 11], [0, 6, 10], [0, 8, 11, 14], [0, 6, 10], [0, 8, 11], [0]];

    private static readonly int[] BassRoots = [31, 31, 34, 29, 31, 31, 29, 31]; // G1 G1 Bb1 F1 G1 G1 F1 G1
    private static readonly int[] GritSteps = [0, 3, 6, 8, 11, 14];

    private static readonly int[][] Chords =
    [
        [43, 58, 62, 67], [43, 58, 62, 65], [46, 58, 62, 65], [41, 57, 60, 65], [43, 58, 62, 67], [43, 58, 62, 65], [41, 57, 60, 65], [43, 58, 62, 67],
    ];

    private static readonly (int Step, int Length, int Key)[] Melody =
    [
        (8, 4, 70), (12, 4, 72), (16, 10, 74), (28, 4, 72), (32, 8, 70), (40, 8, 65), (48, 12, 69), (62, 2, 70),
        (64, 10, 74), (76, 4, 77), (80, 10, 74), (92, 4, 72), (96, 8, 69), (104, 8, 72), (112, 14, 70),
    ];

    /// <summary>Where the kick hits.</summary>
    public static IReadOnlyList<Note> Kicks { get; } =
        [.. KickBars.SelectMany((steps, bar) => steps.Select(step => new Note(At(bar, step), 4 * StepFrames, KickHz, step == 0 ? 1 : 0.86)))];

    /// <summary>Long notes, a bar each: they are always there when the kick hits.</summary>
    public static IReadOnlyList<Note> Sub { get; } =
        [.. BassRoots.Select((key, bar) => new Note(At(bar, 0), (BarSteps * StepFrames) - (StepFrames / 2), PitchHz(key), 1))];

    /// <summary>The same roots, played in a rhythm.</summary>
    public static IReadOnlyList<Note> Grit { get; } =
        [.. BassRoots.SelectMany((key, bar) => GritSteps.Select(step => new Note(At(bar, step), 2 * StepFrames, PitchHz(key), step == 0 ? 1 : 0.8)))];

    /// <summary>Four notes a bar, the lowest of them of little use.</summary>
    public static IReadOnlyList<Note> Keys { get; } =
        [.. Chords.SelectMany((keys, bar) => keys.Select(key => new Note(At(bar, 0), BarSteps * StepFrames, PitchHz(key), 1)))];

    /// <summary>On two and four, from the second bar on.</summary>
    public static IReadOnlyList<Note> Snares { get; } =
        [.. Enumerable.Range(1, BarCount - 2).SelectMany(bar => new[] { 4, 12 }.Select(step => new Note(At(bar, step), 3 * StepFrames, 186, 1)))];

    /// <summary>Eighths, and a sixteenth before every bar.</summary>
    public static IReadOnlyList<Note> Hats { get; } =
        [.. Enumerable.Range(0, BarCount - 1).SelectMany(bar => new[] { 0, 2, 4, 6, 8, 10, 12, 14, 15 }
            .Select(step => new Note(At(bar, step), step == 14 ? StepFrames : StepFrames / 2, 0, step % 4 == 2 ? 1 : 0.6)))];

    /// <summary>The tune.</summary>
    public static IReadOnlyList<Note> Voice { get; } =
        [.. Melody.Select(note => new Note(note.Step * StepFrames, note.Length * StepFrames, PitchHz(note.Key), 1))];

    private static int At(int bar, int step) => ((bar * BarSteps) + step) * StepFrames;

    /// <summary>Twelve equal steps to an octave, key 69 being 440 Hz (ISO 16).</summary>
    private static double PitchHz(int key) => 440 * PortableMath.Exp2((key - 69) / 12.0);
}

/// <summary>One note.</summary>
/// <param name="StartFrame">Where it begins in the song.</param>
/// <param name="LengthFrames">How long the key is held.</param>
/// <param name="PitchHz">Its fundamental, where it has one.</param>
/// <param name="Strength">1 is full.</param>
internal readonly record struct Note(int StartFrame, int LengthFrames, double PitchHz, double Strength);
