using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>
/// One compressor of tests/Reference/dynamics.json: the equations of Giannoulis, Massberg and Reiss, "Digital dynamic range compressor design", J. Audio
/// Eng. Soc. 60(6), 2012, worked out in numpy. Times are those of its smooth decoupled detector.
/// </summary>
public sealed record DynamicsReference(
    string Id, double ThresholdDb, double Ratio, double KneeDb, double AttackMs, double ReleaseMs,
    double[] InputDb, double[] ReductionDb, int[] BurstFrames, double[] BurstReductionDb, double BurstSumDb,
    int AttackFrames, int ReleaseFrames)
{
    /// <summary>All of them.</summary>
    public static IReadOnlyList<DynamicsReference> All { get; }

    /// <summary>Of all of them.</summary>
    public static int SampleRateHz { get; }

    /// <summary>The key of every burst: a tone at five amplitudes, one after another.</summary>
    public static Signal Key { get; }

    static DynamicsReference()
    {
        using var file = JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", "dynamics.json")));
        var root = file.RootElement;
        SampleRateHz = root.GetProperty("fs_hz").GetInt32();
        All = [.. root.GetProperty("cases").EnumerateArray().Select(Read)];

        var key = root.GetProperty("key");
        var frequencyHz = key.GetProperty("freq_hz").GetDouble();
        var amplitudes = key.GetProperty("segments_seconds_amplitude").EnumerateArray()
            .SelectMany(segment => Enumerable.Repeat(segment[1].GetDouble(), (int)Math.Round(segment[0].GetDouble() * SampleRateHz)))
            .ToArray();
        Key = Signals.Mono([.. amplitudes.Select((amplitude, frame) => amplitude * Math.Sin(2 * Math.PI * frequencyHz * frame / SampleRateHz))]);
    }

    /// <summary>The name that a test run shows.</summary>
    public override string ToString() => Id;

    private static DynamicsReference Read(JsonElement entry)
    {
        var (curve, burst) = (entry.GetProperty("static_curve"), entry.GetProperty("burst"));
        var step = entry.GetProperty("step_12db").GetProperty("smooth_decoupled");
        return new(
            entry.GetProperty("id").GetString()!, entry.GetProperty("threshold_db").GetDouble(), entry.GetProperty("ratio").GetDouble(),
            entry.GetProperty("knee_db").GetDouble(), entry.GetProperty("attack_ms").GetDouble(), entry.GetProperty("release_ms").GetDouble(),
            Numbers(curve, "input_db"), Numbers(curve, "gain_reduction_db"),
            [.. Numbers(burst, "sample_index").Select(index => (int)index)], Numbers(burst.GetProperty("smoothed_reduction_db"), "smooth_decoupled"),
            burst.GetProperty("sum_over_all_samples_db").GetProperty("smooth_decoupled").GetDouble(),
            step.GetProperty("samples_to_63.2pct_of_12dB").GetInt32(), step.GetProperty("samples_from_step_end_to_36.8pct").GetInt32());
    }

    private static double[] Numbers(JsonElement parent, string name) =>
        [.. parent.GetProperty(name).EnumerateArray().Select(number => number.GetDouble())];
}
