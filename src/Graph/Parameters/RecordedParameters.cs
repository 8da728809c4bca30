using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Parameters;

/// <summary>Asks another source and keeps what it answers: the parameters that a node really has, defaults among them, each as JSON writes it.</summary>
public sealed class RecordedParameters(IParameterSource source) : IParameterSource
{
    private readonly Dictionary<string, string> _values = new(StringComparer.Ordinal);

    /// <summary>Every value asked for, by its name in the graph; <c>null</c> for one that was left out and has no default.</summary>
    public IReadOnlyDictionary<string, string> Values => _values;

    /// <inheritdoc/>
    public double Number(string name, double min, double max, double? otherwise, string about) => Keep(name, source.Number(name, min, max, otherwise, about));

    /// <inheritdoc/>
    public double? OptionalNumber(string name, double min, double max, string about) => Keep(name, source.OptionalNumber(name, min, max, about));

    /// <inheritdoc/>
    public double FrequencyHz(string name, double min, double max, double? otherwise, string about) => Keep(name, source.FrequencyHz(name, min, max, otherwise, about));

    /// <inheritdoc/>
    public double? OptionalFrequencyHz(string name, double min, double max, string about) => Keep(name, source.OptionalFrequencyHz(name, min, max, about));

    /// <inheritdoc/>
    public double OneOf(string name, IReadOnlyList<double> allowed, double otherwise, string about) => Keep(name, source.OneOf(name, allowed, otherwise, about));

    /// <inheritdoc/>
    public T Choice<T>(string name, T otherwise, string about) where T : struct, Enum
    {
        var value = source.Choice(name, otherwise, about);
        _values[ParameterName.InGraph(name)] = CanonicalJson.Text(ParameterName.InGraph(value.ToString()));
        return value;
    }

    /// <inheritdoc/>
    public bool Flag(string name, bool otherwise, string about)
    {
        var value = source.Flag(name, otherwise, about);
        _values[ParameterName.InGraph(name)] = value ? "true" : "false";
        return value;
    }

    /// <inheritdoc/>
    public double? BeatMs => source.BeatMs;

    /// <inheritdoc/>
    public IReadOnlyList<Hit>? KeyHits => source.KeyHits;

    /// <inheritdoc/>
    public bool IsGiven(string name) => source.IsGiven(name);

    /// <inheritdoc/>
    public void Refuse(string name, string sentence, string remedy) => source.Refuse(name, sentence, remedy);

    private double Keep(string name, double value)
    {
        _values[ParameterName.InGraph(name)] = CanonicalJson.Number(value);
        return value;
    }

    private double? Keep(string name, double? value)
    {
        _values[ParameterName.InGraph(name)] = value is { } number ? CanonicalJson.Number(number) : "null";
        return value;
    }
}
