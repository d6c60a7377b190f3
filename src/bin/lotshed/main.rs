fn main() {
    println!("{}", gdal::version_info("VERSION_NUM"));
}
