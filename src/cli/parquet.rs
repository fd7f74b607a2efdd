//! Rows of a CSV file as Parquet: the same table with typed columns, for large studies.

use std::path::{Path, PathBuf};

use clap::Args;

use super::outcome::Trouble;
use super::output::{Output, is_standard};

/// The option of all commands that write rows.
#[derive(Debug, Args)]
pub struct Typed {
    /// Also write the rows as Parquet
    #[arg(long, value_name = "FILE", requires = "csv", hide = cfg!(not(feature = "parquet")))]
    pub parquet: Option<PathBuf>,
}

/// The file, opened before the work starts; its rows will come from `csv`.
pub fn open(typed: &Typed, csv: Option<&Path>) -> Result<Option<Output>, Trouble> {
    let Some(path) = &typed.parquet else {
        return Ok(None);
    };
    if !cfg!(feature = "parquet") {
        return Err(Trouble::Failed(
            "error: --parquet: this build has no Parquet; build it with --features parquet".into(),
        ));
    }
    if csv.is_none_or(|csv| is_standard(csv) || csv.exists() && !csv.is_file()) {
        return Err(Trouble::Wrong(
            "error: --parquet: its rows come from a file; give it with --csv FILE".into(),
        ));
    }
    Output::open(path).map(Some)
}

/// Writes the rows of the finished file `csv`.
#[cfg(not(feature = "parquet"))]
pub fn put(_: &Path, _: Output) -> Result<(), Trouble> {
    Ok(()) // `open` has refused.
}

#[cfg(feature = "parquet")]
pub use whole::put;

#[cfg(feature = "parquet")]
mod whole {
    use std::fs::File;
    use std::io::{BufReader, Write};
    use std::path::Path;
    use std::sync::Arc;

    use ::parquet::basic::{LogicalType, Repetition, Type as Physical};
    use ::parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
    use ::parquet::errors::ParquetError;
    use ::parquet::file::metadata::KeyValue;
    use ::parquet::file::properties::WriterProperties;
    use ::parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
    use ::parquet::schema::types::Type;
    use csv::StringRecord;

    use crate::kept::Kind as Cells;
    use crate::meta;
    use crate::outcome::Trouble;
    use crate::output::{Output, Stop};

    /// Rows held at a time.
    const GROUP: usize = 1 << 15;

    /// What a column holds, by its name.
    #[derive(Clone, Copy, PartialEq)]
    enum Kind {
        Whole,
        Number,
        Text,
    }

    fn kind(name: &str) -> Kind {
        match Cells::of(name) {
            Cells::Shot => Kind::Whole,
            Cells::Key | Cells::Figure => Kind::Number,
            Cells::Word | Cells::Verdict | Cells::Cause | Cells::Note => Kind::Text,
        }
    }

    /// Writes the rows of the finished file `csv`.
    pub fn put(csv: &Path, out: Output) -> Result<(), Trouble> {
        let failed = |what: String| Trouble::Failed(format!("error: --parquet: {what}"));
        let file = File::open(csv).map_err(|e| failed(format!("{}: {e}", csv.display())))?;
        let mut reader = csv::Reader::from_reader(BufReader::new(file));
        // Pipes and devices have nothing beside them.
        let beside = std::fs::read_to_string(meta::path(csv)).ok();
        out.put_with(|out| {
            let told = |what: String| Stop::Trouble(failed(what));
            let head = reader.headers().map_err(|e| told(e.to_string()))?.clone();
            write(&head, beside, &mut reader, out).map_err(told)
        })
    }

    fn write(
        head: &StringRecord,
        beside: Option<String>,
        reader: &mut csv::Reader<BufReader<File>>,
        out: &mut (dyn Write + Send),
    ) -> Result<(), String> {
        let words = |e: ParquetError| e.to_string();
        let kinds: Vec<Kind> = head.iter().map(kind).collect();
        let fields = head
            .iter()
            .zip(&kinds)
            .map(|(name, kind)| field(name, *kind));
        let fields = fields.collect::<Result<Vec<_>, _>>().map_err(words)?;
        let schema = Type::group_type_builder("rows").with_fields(fields);
        let schema = Arc::new(schema.build().map_err(words)?);
        // Drawn numbers hardly repeat: a dictionary of them would be as long as they are.
        let properties = WriterProperties::builder().set_dictionary_enabled(false);
        let about = beside.map(|text| vec![KeyValue::new("arcplunge".into(), text)]);
        let properties = properties.set_key_value_metadata(about);
        let properties = Arc::new(properties.build());
        let mut writer = SerializedFileWriter::new(out, schema, properties).map_err(words)?;
        let mut rows: Vec<StringRecord> = Vec::new();
        loop {
            rows.clear();
            for row in reader.records().take(GROUP) {
                rows.push(row.map_err(|e| e.to_string())?);
            }
            if rows.is_empty() {
                break;
            }
            let mut group = writer.next_row_group().map_err(words)?;
            let mut at = 0;
            while let Some(mut column) = group.next_column().map_err(words)? {
                fill(&mut column, kinds[at], rows.iter().map(|row| &row[at]))?;
                column.close().map_err(words)?;
                at += 1;
            }
            group.close().map_err(words)?;
        }
        writer.close().map(|_| ()).map_err(words)
    }

    fn field(name: &str, kind: Kind) -> Result<Arc<Type>, ParquetError> {
        let (physical, logical) = match kind {
            Kind::Whole => (Physical::INT64, None),
            Kind::Number => (Physical::DOUBLE, None),
            Kind::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        };
        let field = Type::primitive_type_builder(name, physical)
            .with_logical_type(logical)
            .with_repetition(Repetition::OPTIONAL);
        field.build().map(Arc::new)
    }

    /// Writes the cells of a column; an empty one is null.
    fn fill<'a>(
        column: &mut SerializedColumnWriter,
        kind: Kind,
        cells: impl Iterator<Item = &'a str> + Clone,
    ) -> Result<(), String> {
        let there: Vec<i16> = cells
            .clone()
            .map(|cell| i16::from(!cell.is_empty()))
            .collect();
        let cells = cells.filter(|cell| !cell.is_empty());
        let wrong = |cell: &str| format!("`{cell}` is not a number");
        let done = match kind {
            Kind::Number => {
                let values = cells.map(|c| c.parse().map_err(|_| wrong(c)));
                let values = values.collect::<Result<Vec<f64>, _>>()?;
                column
                    .typed::<DoubleType>()
                    .write_batch(&values, Some(&there), None)
            }
            Kind::Whole => {
                let values = cells.map(|c| c.parse().map_err(|_| wrong(c)));
                let values = values.collect::<Result<Vec<i64>, _>>()?;
                column
                    .typed::<Int64Type>()
                    .write_batch(&values, Some(&there), None)
            }
            Kind::Text => {
                let values: Vec<ByteArray> = cells.map(ByteArray::from).collect();
                column
                    .typed::<ByteArrayType>()
                    .write_batch(&values, Some(&there), None)
            }
        };
        done.map(|_| ()).map_err(|e| e.to_string())
    }
}
