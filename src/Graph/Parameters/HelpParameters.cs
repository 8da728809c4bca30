using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Parameters;

/// <summary>Listens to what a node may ask for and answers with the defaults: for help and for tables. A parameter that must be given is answered with the middle of its bounds.</summary>
public sealed class HelpParameters : IParameterSource
{
    private readonly List<ParameterHelp> _asked = [];

    /// <summary>Everything asked for, in order.</summary>
    public IReadOnlyList<ParameterHelp> Asked => _asked;

    /// <inheritdoc/>
    public double Number(string name, double min, double max, double? otherwise, string about)
    {
        Note(name, "number", about, min: min, max: max, otherwise: otherwise, isRequired: otherwise is null);
        return otherwise ?? (min + max) / 2;
    }

    /// <inheritdoc/>
    public double? OptionalNumber(string name, double min, double max, string about)
    {
        Note(name, "number", about, min: min, max: max);
        return null;
    }

    /// <inheritdoc/>
    public double FrequencyHz(string name, double min, double max, double? otherwise, string about)
    {
        Note(name, "number or \"anchor\"", about, min: min, max: max, otherwise: otherwise, isRequired: otherwise is null);
        return otherwise ?? Math.Sqrt(min * max);
    }

    /// <inheritdoc/>
    public double? OptionalFrequencyHz(string name, double min, double max, string about)
    {
        Note(name, "number or \"anchor\"", about, min: min, max: max);
        return null;
    }

    /// <inheritdoc/>
    public double? BeatMs => null;

    /// <inheritdoc/>
    public IReadOnlyList<Hit>? KeyHits => null;

    /// <inheritdoc/>
    public bool IsGiven(string name) => false;

    /// <inheritdoc/>
    public double OneOf(string name, IReadOnlyList<double> allowed, double otherwise, string about)
    {
        Note(name, "one of", about, choices: [.. allowed.Select(ParameterName.Write)], otherwise: otherwise);
        return otherwise;
    }

    /// <inheritdoc/>
    public T Choice<T>(string name, T otherwise, string about) where T : struct, Enum
    {
        Note(name, "one of", about, choices: [.. Enum.GetNames<T>().Select(ParameterName.InGraph)], otherwise: ParameterName.InGraph(otherwise.ToString()));
        return otherwise;
    }

    /// <inheritdoc/>
    public bool Flag(string name, bool otherwise, string about)
    {
        Note(name, "true or false", about, otherwise: otherwise);
        return otherwise;
    }

    /// <inheritdoc/>
    public void Refuse(string name, string sentence, string remedy)
    {
        // Defaults that contradict each other are a fault of the node; its own tests say so.
    }

    private void Note(
        string name, string kind, string about, double? min = null, double? max = null, IReadOnlyList<string>? choices = null,
        object? otherwise = null, bool isRequired = false) =>
        _asked.Add(new(
            ParameterName.InGraph(name), kind, about, min, max, choices ?? [],
            otherwise switch { null => null, double number => ParameterName.Write(number), bool flag => flag ? "true" : "false", var text => text.ToString() },
            isRequired));
}

/// <summary>What there is to say of one parameter.</summary>
/// <param name="Name">As in the graph; its end is its unit.</param>
/// <param name="Kind">What may be written: <c>number</c>, <c>one of</c> and so on.</param>
/// <param name="About">What it does.</param>
/// <param name="Min">Least number allowed, or null.</param>
/// <param name="Max">Largest number allowed, or null.</param>
/// <param name="Choices">All that is allowed, if it is one of a few.</param>
/// <param name="Otherwise">What it is when left out, or null.</param>
/// <param name="IsRequired">Whether it must be given.</param>
public sealed record ParameterHelp(
    string Name, string Kind, string About, double? Min, double? Max, IReadOnlyList<string> Choices, string? Otherwise, bool IsRequired);
