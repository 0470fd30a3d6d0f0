;;; wright-mode.el --- Build specs of model aircraft  -*- lexical-binding: t; -*-
;; Made by lang/editing/editors.py from the compiler's own words.

;;; Code:
(defvar wright-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?_ "w" table)
    table))

(defconst wright-mode-font-lock
  (list
   (cons (regexp-opt '("accept" "given" "let" "make" "recipe" "require" "use") 'words) 'font-lock-keyword-face)
   (cons (regexp-opt '("as" "because" "by" "else" "to") 'words) 'font-lock-keyword-face)
   (cons (regexp-opt '("auto" "no" "yes") 'words) 'font-lock-constant-face)
   (list (concat (regexp-opt '("after" "along" "arc" "area" "arm" "at" "axis" "balance_x" "balance_y" "balance_z" "ballast" "ballast_at" "before" "bend" "between" "bevel" "blank_angle" "blank_inner_radius" "blank_length" "blank_outer_radius" "blank_width" "bore" "build" "carve" "centre" "count" "cut_at" "cut_length" "density" "depth" "diameter" "diameter_inner_face" "diameter_outer_face" "down" "edges" "end" "end_inside" "evenness" "face" "faces" "facing" "facing_mass" "first" "fit" "fraction" "from" "gap" "grain" "grooves" "half_angle" "hand" "height" "inset" "inside" "kerf" "kind" "language" "layers" "length" "lower" "margin" "mass" "material" "measured_bar" "middle" "min_radius" "nearest" "neutral" "offsets" "on" "on_hand" "open" "opening" "outline" "over" "overall" "overlap" "paper" "pieces" "place" "plan_scale" "power" "price" "profile" "quantity" "revision" "right" "rim" "roll" "runs" "seam" "seam_at" "seat" "section" "set_back" "share" "sheet" "sheet_mass" "side" "sides" "size" "slant" "slide" "stagger" "start" "start_inside" "stock" "tab" "takes" "taper" "target" "thickness" "through" "title" "to" "tolerance" "tool" "turned" "units" "upper" "view" "wall" "weighed" "width" "within" "worst_deviation" "worst_strain" "worst_twist" "x" "x_aft" "x_end" "x_fore" "x_start" "y" "z") 'words) "[ \t]*=[^=]") 1 'font-lock-variable-name-face)
   (list (concat "=[ \t]*" (regexp-opt '("a3" "a4" "across" "aft" "along" "along_height" "along_width" "auto" "back" "balanced" "balsa" "both" "bottom" "box" "brass" "butt" "cap" "card" "centre" "cones" "corners" "curve" "each" "edges" "face" "film" "flap" "flush" "foam" "foamboard" "fore" "free" "gores" "in" "inside" "joints" "knife" "lap" "laser" "lead" "left" "legal" "letter" "middles" "mm" "narrows" "none" "notched" "offsets" "oval" "paper" "peeled" "plain" "ply" "right" "rod" "roll" "round" "scored" "seams" "section" "side" "sleeve" "steel" "straddle" "strap" "tab" "tabloid" "top" "tube" "tungsten" "up" "widens") 'words)) 1 'font-lock-constant-face)
   (list (concat (regexp-opt '("abs" "acos" "aerofoil" "aerofoil_file" "arc" "asin" "atan2" "behind" "both" "both_curve" "circle" "circle_fit" "circle_through" "common" "corner" "cos" "curve" "ellipse" "ellipse_fit" "half" "half_curve" "hypot" "inset" "joined" "max" "min" "minus" "mirrored" "moved" "outset" "polygon" "quarter_ellipse" "rect" "round_to" "scaled" "sin" "sqrt" "superellipse" "tan" "traced" "turned") 'words) "[[(]") 1 'font-lock-function-name-face)
   (list (concat "\\(?:^\\|[{,}]\\)[ \t]*" (regexp-opt '("allowance" "balance" "barrel" "body" "buy" "cone" "cones" "cutting" "deck" "dome" "floor" "former" "formers" "hole" "holes" "load" "model" "offcut" "offsets" "panel" "plate" "printing" "ring" "score" "side" "slot" "stack" "station" "stock" "thrust" "wrap") 'words) "\\(?:[ \t]+[A-Za-z][A-Za-z0-9_]*\\)?[ \t]*{") 1 'font-lock-type-face)
   (list (concat "[0-9)][ \t]*" (regexp-opt '("lb/ft3" "oz/ft2" "oz/in2" "oz/yd2" "g/cm3" "g/dm2" "kg/m2" "kg/m3" "g/cm" "g/m2" "cm2" "deg" "dm2" "ft2" "g/m" "in2" "mm2" "rad" "cm" "ft" "in" "kg" "lb" "m2" "mm" "oz" "%" "g" "m" "°") t) "\\_>") 1 'font-lock-builtin-face)))

;;;###autoload
(define-derived-mode wright-mode prog-mode "Wright"
  "Build specs of model aircraft."
  (setq-local comment-start "# ")
  (setq-local indent-tabs-mode nil)
  (setq-local font-lock-defaults '(wright-mode-font-lock)))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.wright\\'" . wright-mode))

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(wright-mode . ("ringwright" "serve"))))

(defun wright-mode-serve ()
  "Start the language server where it and the package eglot are installed."
  (when (and (executable-find "ringwright") (require 'eglot nil t))
    (eglot-ensure)))
(add-hook 'wright-mode-hook #'wright-mode-serve)

(provide 'wright-mode)
;;; wright-mode.el ends here
