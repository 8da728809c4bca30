using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Filters;
using RenderGraph.Testing;

namespace RenderGraph.Nodes.Tests.Filters;

/// <summary>
/// One filter of tests/Reference/filters.json: coefficients by the W3C note "Audio EQ Cookbook" (R. Bristow-Johnson) or by scipy.signal.butter, responses by
/// scipy.signal.sosfreqz and sosfilt (scipy 1.10.1). A null in a response is an exact zero.
/// </summary>
public sealed record FilterReference(
    string Id, string Family, string Kind, int SampleRateHz, double FrequencyHz, double? Q, double? ShelfSlope, double GainDb, int? SlopeDbPerOctave,
    double[] FrequenciesHz, double?[] MagnitudesDb, double?[] PhasesRadians, double[] ImpulseResponse)
{
    /// <summary>Every entry of the file.</summary>
    public static IReadOnlyList<FilterReference> All { get; } = ReadAll();

    /// <summary>The same filter as sections, or null if we have no such filter.</summary>
    public IReadOnlyList<Section>? Design() => (Family, Kind) switch
    {
        ("rbj", "lowpass") => [SectionDesign.LowPass(FrequencyHz, Q!.Value, SampleRateHz)],
        ("rbj", "highpass") => [SectionDesign.HighPass(FrequencyHz, Q!.Value, SampleRateHz)],
        ("rbj", "bandpass") => [SectionDesign.BandPass(FrequencyHz, Q!.Value, SampleRateHz)],
        ("rbj", "notch") => [SectionDesign.Notch(FrequencyHz, Q!.Value, SampleRateHz)],
        ("rbj", "peaking") => [SectionDesign.Bell(FrequencyHz, Q!.Value, GainDb, SampleRateHz)],
        ("rbj", "lowshelf") => [SectionDesign.LowShelf(FrequencyHz, ShelfQ(), GainDb, SampleRateHz)],
        ("rbj", "highshelf") => [SectionDesign.HighShelf(FrequencyHz, ShelfQ(), GainDb, SampleRateHz)],
        ("butterworth", "lowpass") => SectionDesign.LowPass(FrequencyHz, SlopeDbPerOctave!.Value, Alignment.Butterworth, SampleRateHz),
        ("butterworth", "highpass") => SectionDesign.HighPass(FrequencyHz, SlopeDbPerOctave!.Value, Alignment.Butterworth, SampleRateHz),
        ("linkwitz-riley", "lowpass") => SectionDesign.LowPass(FrequencyHz, SlopeDbPerOctave!.Value, Alignment.LinkwitzRiley, SampleRateHz),
        ("linkwitz-riley", "highpass") => SectionDesign.HighPass(FrequencyHz, SlopeDbPerOctave!.Value, Alignment.LinkwitzRiley, SampleRateHz),
        _ => null,
    };

    /// <summary>The same filter as a node of the catalog, or null if no node has such parameters.</summary>
    public INode? Node() => (Family, Kind) switch
    {
        ("rbj", "notch") => NodeFactory.Create(NotchNode.Type, ("frequencyHz", FrequencyHz), ("q", Q!.Value)),
        ("rbj", "peaking") => NodeFactory.Create(BellNode.Type, ("frequencyHz", FrequencyHz), ("q", Q!.Value), ("gainDb", GainDb)),
        ("rbj", "lowshelf") => NodeFactory.Create(LowShelfNode.Type, ("frequencyHz", FrequencyHz), ("q", ShelfQ()), ("gainDb", GainDb)),
        ("rbj", "highshelf") => NodeFactory.Create(HighShelfNode.Type, ("frequencyHz", FrequencyHz), ("q", ShelfQ()), ("gainDb", GainDb)),
        ("butterworth", "lowpass") => Pass(LowPassNode.Type, Alignment.Butterworth),
        ("butterworth", "highpass") => Pass(HighPassNode.Type, Alignment.Butterworth),
        ("linkwitz-riley", "lowpass") => Pass(LowPassNode.Type, Alignment.LinkwitzRiley),
        ("linkwitz-riley", "highpass") => Pass(HighPassNode.Type, Alignment.LinkwitzRiley),
        _ => null,
    };

    private INode Pass(NodeType type, Alignment alignment) => NodeFactory.Create(
        type, ("frequencyHz", FrequencyHz), ("slopeDbPerOctave", (double)SlopeDbPerOctave!.Value), ("alignment", alignment));

    // The cookbook: 1/Q = sqrt((A + 1/A)(1/S - 1) + 2).
    private double ShelfQ()
    {
        var a = Math.Pow(10, GainDb / 40);
        return Q ?? (1 / Math.Sqrt(((a + (1 / a)) * ((1 / ShelfSlope!.Value) - 1)) + 2));
    }

    private static FilterReference[] ReadAll()
    {
        using var file = JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", "filters.json")));
        return [.. file.RootElement.GetProperty("filters").EnumerateArray().Select(Read)];
    }

    private static FilterReference Read(JsonElement entry) => new(
        entry.GetProperty("id").GetString()!, entry.GetProperty("family").GetString()!, entry.GetProperty("type").GetString()!,
        entry.GetProperty("fs_hz").GetInt32(), entry.GetProperty("f0_hz").GetDouble(),
        Find(entry, "q"), Find(entry, "shelf_slope"), Find(entry, "gain_db") ?? 0, (int?)Find(entry, "slope_db_per_oct"),
        [.. entry.GetProperty("freq_hz").EnumerateArray().Select(number => number.GetDouble())],
        [.. entry.GetProperty("magnitude_db").EnumerateArray().Select(OrNull)],
        [.. entry.GetProperty("phase_rad").EnumerateArray().Select(OrNull)],
        [.. entry.GetProperty("impulse_response_64").EnumerateArray().Select(number => number.GetDouble())]);

    private static double? Find(JsonElement entry, string name) => entry.TryGetProperty(name, out var number) ? number.GetDouble() : null;

    private static double? OrNull(JsonElement number) => number.ValueKind == JsonValueKind.Null ? null : number.GetDouble();
}
